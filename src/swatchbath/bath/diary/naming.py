"""What is named in a diary line, with its amount, form and lot.

material = [amount ["of"]] [form] name [form] [amount] ["(" lot | form ")"]
amount   = percent | weight ["on" weight "wool"] | number "g/l" | number "ml" ["of" percent]
         | "1:1" | "equal weight" | "twice the weight"
name     = known phrase | words | QUOTED
"""

from __future__ import annotations

from ...conditions.trade_words import longest_phrase, material_of
from .amounts import FORMS, read_amount, told_fibre, unweighed
from .quantities import FIBRE_WORDS, UNWEIGHED
from .tokens import Cursor
from .told import Named, Told

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
        if not read_amount(at, found, self.told):
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
