"""What is named in a diary line, with its amount, form and lot.

material = [amount ["of"]] [form] name [form] [amount] ["(" lot | form ")"]
amount   = percent | weight ["on" weight "wool"] | number "g/l" | number "ml" ["of" percent]
         | "1:1" | "equal weight" | "twice the weight"
name     = known phrase | words | QUOTED
"""

from __future__ import annotations

import re

from ...conditions.trade_words import PARTS_OF_PLANTS, longest_phrase, material_of
from .amounts import FORMS, read_amount, told_fibre, unweighed
from .quantities import FIBRE_WORDS, UNWEIGHED
from .tokens import Cursor
from .told import Named, Told

_LOTS = ("lot", "batch", "harvest", "harvested", "delivery", "crop")
# Words between names that say nothing by themselves.
FILLERS = frozenset(
    "at for held hold holding kept keep in with the a an to about by on under up of using from it "
    "was bath baths dyebath mordant only total my our as plus and & soaked soak steeped steep left "
    "stood dip dipped @ temp temperature time there".split()
)
_BREAKS = frozenset("in at for with to by and & plus + on using from then".split())

# A code in brackets has a letter before a digit, or is a year: M26, B3-2, 2025.
_CODE = re.compile(r"(?=.*\d)[^\W\d_][\w.#/-]*|(?:19|20)\d\d")

_MONTHS = frozenset(
    "jan january feb february mar march apr april may jun june jul july aug august sep sept "
    "september oct october nov november dec december spring summer autumn fall winter".split()
)


class Names:
    """The names of a line as they come: one is open until the next begins."""

    def __init__(self, told: Told) -> None:
        self.told = told
        self.open: Named | None = None
        self.joined = False
        self.harvest = ""  # of the name that comes next: 2025 harvest weld

    def close(self) -> None:
        """End the open name; what is no name yet goes to the one before it, or is asked about."""
        held, self.open, self.joined = self.open, None, False
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
            if last is not None and last.has_amount and self._again(last, held):
                return
            if last is None or last.has_amount:
                raise self.told.refuse(
                    f"{held.amount} of what? Write a material with its amount, such as alum 12 %."
                )
            self._shared(last)
            for name in ("percent", "grams", "ml", "strength", "grams_litre", "amount"):
                setattr(last, name, getattr(held, name))
        if held.form:
            if last is None or last.form:
                raise self.told.refuse(
                    f"{held.form} what? Name the dyestuff, such as {held.form} weld 80 %."
                )
            last.form = held.form

    def _shared(self, into: Named) -> None:
        """Ask of whom an amount is that stands after two names: alum and tartar 12 %."""
        if into.joined:
            raise self.told.refuse(
                f"is that amount of {into.words}, or of all named with it? Write each with its "
                f"own, such as alum 12 %, cream of tartar 6 %."
            )

    def _each(self, found: Named) -> bool:
        """Give an amount to each of the names joined before it."""
        self.close()
        for one in reversed(self.told.named):
            if one.has_amount:
                break
            for name in ("percent", "grams", "ml", "strength", "grams_litre", "amount"):
                setattr(one, name, getattr(found, name))
        if not self.told.named or self.told.named[-1].amount != found.amount:
            raise self.told.refuse(f"{found.amount} each of what? Write each with its own amount.")
        return True

    def _again(self, last: Named, held: Named) -> bool:
        """Whether an amount in brackets is the one before told in another way: 80 % (40 g)."""
        if last.ml is not None and last.strength is None and held.percent is not None:
            last.strength, last.amount = held.percent, f"{last.amount} of {held.amount}"
            return last.solution
        ways = {last.percent is None, held.percent is None}
        if not self.told.bracket or ways != {True, False}:
            return False
        share = last.percent or held.percent or 0.0
        grams = last.grams or held.grams or 0.0
        fibre = self.told.fibre_g
        if not grams or (fibre and abs(grams * 100 / fibre - share) > 0.03 * share):
            raise self.told.refuse(
                f"{last.amount} and {held.amount} of {last.words} are not the same; keep the one "
                "that is right."
            )
        last.percent = share
        self.told.note(f"{last.words} {last.amount if last.grams else held.amount}")
        return True

    def _fibre(self, held: Named) -> None:
        """A fibre is no material of the pot: its weight counts, its name is a note."""
        if held.grams is not None:
            told_fibre(self.told, held.grams, f"{held.words} {held.amount}")
        elif held.has_amount:
            raise self.told.refuse(f"{held.amount} of {held.words}? Write the fibre's weight in g.")
        else:
            self.told.note(held.words)

    def join(self) -> None:
        """End the open name at an and: what comes next may share its amount."""
        alone = self.open is not None and bool(self.open.words) and not self.open.has_amount
        self.close()
        self.joined = alone

    def known(self, at: Cursor, ahead: int) -> int:
        """How many words a known material has that begins so far ahead; 0 where none does."""
        for n in range(longest_phrase(), 0, -1):
            tokens = [at.peek(ahead + i) for i in range(n)]
            if all(t.kind == "word" for t in tokens) and material_of(
                " ".join(t.text for t in tokens)
            ):
                return n
        return 0

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
        if at.take("each"):
            return self._each(found)
        into = self.named(part)
        if into.words:
            self._shared(into)
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
            if found is None or (words in FORMS and not self.told.vat and at.word(1) != "vat"):
                continue  # fermented walnut hulls
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
            at.take_any(("in",) if led.startswith("harvest") else ())
            month = led.startswith("harvest") and at.word() in _MONTHS
            code = at.code()
            if not month and not any(c.isdigit() or c.isupper() for c in code):
                at.at = start  # jar in the sun
                return False
            if month and at.peek().kind == "number":
                code = f"{code} {at.code()}"  # harvest Aug 2025
        else:
            year = at.peek().text
            if at.word(1) not in ("harvest", "crop") or at.peek().kind != "number":
                return False
            code, led = year, "harvest"
            at.at += 2
        into = self.last()
        if into is None and led in ("harvest", "crop") and code:
            self.harvest = code
            return True
        if not code or into is None:
            raise self.told.refuse(f"name the material before its {led or at.text(start)}.")
        if led == "strip":
            into.strip = code
        else:
            self._lot(into, code, led)
        return True

    def _lot(self, into: Named, code: str, led: str) -> None:
        """Keep a delivery; a harvest told beside it is a note, and two are asked about."""
        grown = led.startswith("harvest") or led == "crop"
        if into.lot in (None, code):
            into.lot, into.grown = code, grown
        elif grown:
            self.told.note(f"{led} {code}")
        elif into.grown:
            self.told.note(f"harvest {into.lot}")
            into.lot, into.grown = code, False
        else:
            raise self.told.refuse(
                f"{into.lot} and {code} are two deliveries of {into.words}; write each with its "
                "own amount."
            )

    def bracket(self, at: Cursor) -> tuple[int, int]:
        """Step over a bracket; the place of its first token and of the one that closes it."""
        first = at.at + 1
        depth, after = 1, first
        while depth and at.tokens[after].kind != "end":
            depth += (at.tokens[after].text == "(") - (at.tokens[after].text == ")")
            after += 1
        if depth:
            raise self.told.refuse("a bracket is opened and not closed.")
        at.at = after
        return first, after - 1

    def in_bracket(self, at: Cursor, stop: int) -> bool:
        """Read what stands in brackets up to a token, if it is a form, a lot or a code."""
        first = at.at
        words, into = at.text(first, stop), self.last()
        if at.word() in FORMS and stop == first + 1:
            self.form(at)
        elif at.word() in _LOTS or (at.peek().kind == "number" and at.word(1) in _LOTS):
            self.lot(at)
            if at.at < stop and into is not None:
                into.lot = at.text(first + 1, stop)
        elif " " not in words and _CODE.fullmatch(words) and into is not None:
            self._lot(into, words, "lot")
        else:
            return False
        return True

    def word(self, at: Cursor) -> None:
        """Read a word that nothing else knows as part of a name."""
        token = at.peek()
        if token.text in FILLERS and (self.open is None or not self.open.words):
            at.at += 1
            return
        if token.text in ("bath", "dyebath", "dye") and material_of(self._words()) is not None:
            at.at += 1
            return
        if token.text in ("solution", "stock") and self.open is not None and self.open.ml:
            self.open.solution = True
            at.at += 1
            return
        if self._goes_on(token.text) and self.open is not None:
            self.open.words = f"{self.open.words} {token.text}"
            at.at += 1
            return
        if token.text in _BREAKS:
            self.close()
            at.at += 1
            return
        if token.text in UNWEIGHED:
            raise self.told.refuse(unweighed(at))
        self._add(at, 1)

    def _goes_on(self, word: str) -> bool:
        """Whether a word is a part of the plant just weighed: birch 200 % fresh leaves."""
        plant = self.open is not None and self.open.has_amount and not self.open.quoted
        part = word.removesuffix("s") in PARTS_OF_PLANTS or word in ("leaf", "leaves")
        return plant and part and material_of(f"{self._words()} {word}") is not None

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
        into.joined |= self.joined
        self.joined = False
        if self.harvest:
            self._lot(into, self.harvest, "harvest")
            self.harvest = ""
        first = at.at
        at.at += n
        words = at.text(first)
        into.words = f"{into.words} {words}".strip()
        into.none |= into.words.casefold() in ("none", "nothing")
