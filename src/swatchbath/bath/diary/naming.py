"""What is named in a diary line, with its amount, form and lot.

    material = [amount ["of"]] [form] name [form] [amount] ["(" lot | form ")"]
    amount   = percent | weight ["on" weight "wool"] | number "g/l" | number "ml" ["of" percent]
             | "1:1" | "equal weight" | "twice the weight"
    name     = known phrase | words | QUOTED
"""

from __future__ import annotations

from ...conditions.trade_words import longest_phrase, material_of
from .facts import WATERS
from .quantities import (
    FIBRE_WORDS, GRAMS, LITRES, MILLILITRES, UNWEIGHED, grams, number, of_weight, percent,
)  # fmt: skip
from .told import Named, Told
from .tokens import Cursor

# How a dyestuff may come; the first five are the table's words.
FORMS = {
    "dried": "dried", "dry": "dried", "fresh": "fresh", "powder": "powder", "powdered": "powder",
    "ground": "powder", "extract": "extract", "liquor": "liquor", "frozen": "frozen",
    "chopped": "chopped", "shredded": "shredded", "crushed": "crushed", "whole": "whole",
    "fermented": "fermented",
}  # fmt: skip
_LOTS = ("lot", "batch", "harvest", "harvested", "delivery", "crop")
# Words between names that say nothing by themselves.
FILLERS = frozenset(
    "at for held hold holding kept keep in with the a an to about by on under up of using from it "
    "was bath baths dyebath mordant only total my our as plus and & soaked soak steeped steep left "
    "stood dip dipped @ temp temperature time".split()
)
_BREAKS = frozenset("in at for with to by and & plus + on using from then".split())


class Names:
    """The names of a line as they come: one is open until the next begins."""

    def __init__(self, told: Told) -> None:
        self.told = told
        self.open: Named | None = None

    def close(self) -> None:
        """End the open name; what is no name yet goes to the one before it, or is asked about."""
        held, self.open = self.open, None
        if held is None:
            return
        if held.words or held.none:
            if held.words.casefold() in FIBRE_WORDS and not held.quoted:
                self._fibre(held)
            else:
                self.told.named.append(held)
            return
        last = self.told.named[-1] if self.told.named else None
        if held.has_amount:
            if last is None or last.has_amount:
                raise self.told.refuse(
                    f"{held.amount} of what? Write a material with its amount, such as alum 12 %."
                )
            for name in ("percent", "grams", "ml", "strength", "grams_litre", "amount"):
                setattr(last, name, getattr(held, name))
        if held.form:
            if last is None or last.form:
                raise self.told.refuse(
                    f"{held.form} what? Name the dyestuff, such as {held.form} weld 80 %."
                )
            last.form = held.form

    def _fibre(self, held: Named) -> None:
        """A fibre is no material of the pot: its weight counts, its name is a note."""
        if held.grams is not None:
            told_fibre(self.told, held.grams, f"{held.words} {held.amount}")
        elif held.has_amount:
            raise self.told.refuse(f"{held.amount} of {held.words}? Write the fibre's weight in g.")
        else:
            self.told.note(held.words)

    def named(self, part: int) -> Named:
        """The open name, or a new one."""
        if self.open is None:
            self.open = Named(part=part)
        return self.open

    def last(self) -> Named | None:
        """The name that a lot or jar belongs to."""
        if self.open is not None and self.open.words:
            return self.open
        return self.told.named[-1] if self.told.named else None

    def amount(self, at: Cursor) -> bool:
        """Read an amount, if one stands here, to the name before or after it."""
        start, part = at.at, at.peek().part
        found = Named(part=part)
        if not _read_amount(at, found, self.told):
            at.at = start
            return False
        found.amount = at.text(start).strip()
        if self.open is not None and (self.open.has_amount or self.open.part != part):
            self.close()
        into = self.named(part)
        for name in ("percent", "grams", "ml", "strength", "grams_litre", "amount"):
            setattr(into, name, getattr(found, name))
        into.form = into.form or found.form
        if at.word() in FORMS and at.word(1) == "weight":
            into.form = FORMS[at.word()]
            at.at += 2
            into.amount = at.text(start).strip()
        return True

    def phrase(self, at: Cursor) -> bool:
        """Read the longest known phrase that begins here."""
        for n in range(longest_phrase(), 0, -1):
            tokens = [at.peek(i) for i in range(n)]
            if any(t.kind != "word" for t in tokens) or tokens[-1].part != tokens[0].part:
                continue
            words = " ".join(t.text for t in tokens)
            found = material_of(words)
            if found is None:
                continue
            head, _, last = words.rpartition(" ")
            if last in FORMS and material_of(head) == found:
                continue  # lac extract is lac
            if self.open is not None and material_of(self.open.words) is not None:
                self.close()  # indigo fructose are two
            self._add(at, n)
            return True
        return False

    def quoted(self, at: Cursor) -> None:
        """Read a name by her own word, in quotation marks."""
        if self.open is not None and self.open.words:
            self.close()
        into = self.named(at.peek().part)
        at.at += 1
        into.words, into.quoted = at.text(at.at - 1)[1:-1].strip(), True
        if not into.words:
            raise self.told.refuse("there is nothing between the quotation marks.")

    def form(self, at: Cursor) -> bool:
        """Read dried, fresh, ground, extract to the name it stands at."""
        part = at.peek().part
        word = at.take_any(tuple(FORMS))
        if not word:
            return False
        if self.open is not None and self.open.part != part:
            self.close()
        into = self.named(part)
        if into.form and into.form != FORMS[word]:
            self.told.note(word)  # dried, chopped
        else:
            into.form = FORMS[word]
        return True

    def lot(self, at: Cursor) -> bool:
        """Read lot M26, harvest 2025, 2025 harvest, jar J2, strip NJCE3."""
        start = at.at
        led = at.take_any((*_LOTS, "jar", "strip"))
        if led:
            at.take_any((":", "no", "nr", "#", "of"))
            code = at.code()
        else:
            year = at.peek().text
            if at.word(1) not in ("harvest", "crop") or at.peek().kind != "number":
                return False
            code, led = year, "harvest"
            at.at += 2
        into = self.last()
        if not code or into is None:
            raise self.told.refuse(f"name the material before its {led or at.text(start)}.")
        if led == "strip":
            into.strip = code
        else:
            into.lot = code
        return True

    def bracket(self, at: Cursor) -> bool:
        """Read (lot M26), (fresh), (M26); other words in brackets become a note."""
        if not at.take("("):
            return False
        first = at.at
        depth = 1
        while depth and at.peek().kind != "end":
            depth += (at.word() == "(") - (at.word() == ")")
            at.at += 1
        if depth:
            raise self.told.refuse("a bracket is opened and not closed.")
        after = at.at
        at.at = first
        while at.at < after - 1:
            stop = next((i for i in range(at.at, after) if at.tokens[i].text == ","), after - 1)
            self._in_bracket(at, stop)
            at.at = stop + 1
        at.at = after
        return True

    def _in_bracket(self, at: Cursor, stop: int) -> None:
        """Read what stands in brackets up to a token: a form, a lot, a code; else it is a note."""
        first = at.at
        words, into = at.text(first, stop), self.last()
        if at.word() in FORMS and stop == first + 1:
            self.form(at)
        elif at.word() in _LOTS or (at.peek().kind == "number" and at.word(1) in _LOTS):
            self.lot(at)
            if at.at < stop and into is not None:
                into.lot = at.text(first + 1, stop)
        elif " " not in words and any(c.isdigit() for c in words) and into is not None:
            into.lot = words
        elif words:
            self.told.note(words)

    def word(self, at: Cursor) -> None:
        """Read a word that nothing else knows as part of a name."""
        token = at.peek()
        if token.text in FILLERS and (self.open is None or not self.open.words):
            at.at += 1
            return
        if token.text in ("bath", "dyebath", "dye") and material_of(self._words()) is not None:
            at.at += 1
            return
        if token.text in _BREAKS:
            self.close()
            at.at += 1
            return
        if token.text in UNWEIGHED:
            raise self.told.refuse(unweighed(at))
        self._add(at, 1)

    def _words(self) -> str:
        return self.open.words if self.open is not None else ""

    def _add(self, at: Cursor, n: int) -> None:
        """Step over n words, which are a name or go on with the open one."""
        token = at.peek()
        if self.open is not None and (
            self.open.quoted
            or self.open.part != token.part
            or (self.open.words and (self.open.has_amount or self.open.form))
        ):
            self.close()
        into = self.named(token.part)
        first = at.at
        at.at += n
        words = at.text(first)
        into.words = f"{into.words} {words}".strip()
        into.none |= into.words.casefold() in ("none", "nothing")


def unweighed(at: Cursor) -> str:
    """What to ask where an amount is told that no scale shows: a handful, 2 tsp."""
    words = at.part_text(at.peek().part).split(": ", 1)[-1]
    return (
        f"'{words}' cannot be weighed. Give its weight, or leave the amount out where a pH tells "
        "enough."
    )


def _read_amount(at: Cursor, into: Named, told: Told) -> bool:
    """Read one amount into a name; False where none stands here."""
    if _share(at, into, told):
        return True
    value = percent(at)
    if value is not None:
        if at.take_any(("stock", "solution")):
            at.take_any(("stock", "solution"))
            into.strength = value
            start = at.at
            at.take_any((",",))
            if at.peek().kind == "number" and at.word(1) in MILLILITRES:
                into.ml = number(at)
                at.at += 1
                return True
            at.at = start
            raise told.refuse("how much of the solution? Write 40 ml of 1 %.")
        into.percent = value
        return True
    start = at.at
    if at.peek().kind == "number" and at.word(1) in GRAMS:
        first = at.at
        weight = number(at) or 0.0
        unit = at.take_any(tuple(GRAMS))
        if (at.take("/") or at.take("per") or at.take("a")) and at.take_any(tuple(LITRES)):
            into.grams_litre = weight * GRAMS[unit]
            return True
        at.at = first
    into.grams = grams(at)
    if into.grams is not None:
        on_fibre(at, told)
        return True
    if at.peek().kind == "number" and at.word(1) in MILLILITRES:
        into.ml = number(at)
        at.at += 1
        if at.take("/", "l") or at.take("per", "litre") or at.take("a", "litre"):
            into.ml = None
            return True
        back = at.at
        at.take("of")
        at.take_any(("a", "an"))
        into.strength = percent(at)
        if into.strength is None:
            at.at = back
        else:
            at.take_any(("stock", "solution"))
            at.take_any(("stock", "solution"))
        return True
    if at.peek().kind == "number" and at.word(1) in LITRES and at.word(2) == "of" and (
        at.word(3) not in ("water", *WATERS)
    ):  # fmt: skip
        into.ml = (number(at) or 0.0) * 1000 * LITRES[at.word()]
        at.at += 1
        return True
    at.at = start
    return False


def _share(at: Cursor, into: Named, told: Told) -> bool:
    """1:1, equal weight, twice the weight of the fibre, half its weight, weight for weight."""
    start = at.at
    if at.take("weight", "for", "weight"):
        into.percent = 100.0
        return True
    if at.take_any(("equal", "same")):
        times = 1.0
    elif at.take("half"):
        times = 0.5
    elif at.take("twice") or at.take("double"):
        times = 2.0
    elif at.word(1) == "times":
        times = number(at) or 0.0
        at.take("times")
    elif at.peek().kind == "number" and at.word(1) == ":" and at.peek(2).kind == "number":
        one = number(at) or 0.0
        at.at += 1
        other = number(at) or 0.0
        # Five times the weight is the most that is told so; a thinner one is a liquor.
        if other == 1 and 0 < one <= 5:
            into.percent = 100.0 * one
            form = at.word() if at.word(1) == "weight" else ""
            if form in FORMS:
                into.form = FORMS[form]
                at.at += 2
            at.take("by", "weight") or at.take("weight", "for", "weight") or of_weight(at)
            return True
        if one == 1 and 1 < other <= 5:
            raise told.refuse(
                f"1:{other:g} is plant to fibre, or fibre to water? Write {100 / other:g} % or "
                f"liquor 1:{other:g}."
            )
        at.at = start
        return False
    else:
        return False
    at.take_any(("the", "its", "their"))
    at.take_any(("dry",))
    if not at.take_any(("weight", "weights")):
        at.at = start
        return False
    of_weight(at)
    into.percent = 100.0 * times
    return True


def on_fibre(at: Cursor, told: Told) -> bool:
    """Read on 100 g wool, per 100 g: the weight of the fibre, told beside."""
    start = at.at
    if at.take_any(("on", "for", "per", "to")):
        at.take_any(("every",))
        weight = grams(at)
        if weight is None and at.word() in GRAMS:
            weight = GRAMS[at.take_any(tuple(GRAMS))]  # 4 oz per lb
        if weight:
            at.take("of")
            at.take_any(("the", "dry"))
            at.take_any(FIBRE_WORDS)
            told_fibre(told, weight, at.text(start))
            return True
    at.at = start
    return False


def told_fibre(told: Told, weight: float, said: str) -> None:
    """Keep the weight of the fibre as a line tells it; refuse another one."""
    if told.fibre_g is not None and abs(told.fibre_g - weight) > 0.01 * weight:
        raise told.refuse(
            f"'{said}' and a fibre of {told.fibre_g:g} g are told; say which is the dry weight."
        )
    told.fibre_g = weight


def fibre(at: Cursor, told: Told) -> bool:
    """Read 100 g wool: the fibre in the pot with its weight."""
    start = at.at
    weight = grams(at)
    if weight is not None:
        at.take("of")
        at.take_any(("the", "dry"))
        if at.take_any(FIBRE_WORDS):
            told_fibre(told, weight, at.text(start))
            return True
    at.at = start
    return False
