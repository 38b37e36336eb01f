"""How a diary line begins: with a treatment, or with the material of one."""

from __future__ import annotations

from dataclasses import replace

from ...conditions.trade_words import uses_of
from .facts import RULES, warmth
from .tokens import Cursor
from .told import Named, Told

# How a line may begin, and what it then is: the treatment and what else it says.
BEGIN = {
    "scour": "scour", "scoured": "scour", "scouring": "scour",
    "mordant": "mordant", "mordanted": "mordant", "mordanting": "mordant", "mord": "mordant",
    "premordant": "mordant", "pre-mordant": "mordant", "premordanted": "mordant",
    "pre-mordanted": "mordant",
    "tannin": "tannin", "tanned": "tannin", "tannin-bath": "tannin",
    "dunging": "dunging", "dunged": "dunging", "dung": "dunging",
    "dye": "dye", "dyed": "dye", "dyeing": "dye", "dyebath": "dye", "overdye": "dye",
    "overdyed": "dye", "over-dye": "dye", "over-dyed": "dye", "overdyeing": "dye",
    "vat": "vat", "dip": "vat", "dipped": "vat",
    "after": "after-bath", "after-bath": "after-bath", "afterbath": "after-bath",
    "modifier": "after-bath", "modify": "after-bath", "modified": "after-bath",
    "sadden": "after-bath", "saddened": "after-bath", "saddening": "after-bath",
    "post-mordant": "after-bath", "postmordant": "after-bath", "after-mordant": "after-bath",
    "after-dip": "after-bath", "afterdip": "after-bath", "shift": "after-bath",
    "shifted": "after-bath",
    "rinse": "rinse", "rinsed": "rinse", "wash": "wash", "washed": "wash",
    "dry": "dry", "dried": "dry", "drying": "dry",
}  # fmt: skip
_TWO_WORDS = {
    ("dung", "bath"): "dunging", ("dye", "bath"): "dye", ("after", "bath"): "after-bath",
    ("tannin", "bath"): "tannin", ("mordant", "bath"): "mordant", ("over", "dye"): "dye",
    ("post", "mordant"): "after-bath",
    ("dip", "in"): "vat",
}  # fmt: skip
_WITHOUT = {
    ("unmordanted",): "mordant", ("no", "mordant"): "mordant", ("without", "mordant"): "mordant",
    ("not", "mordanted"): "mordant", ("without", "a", "mordant"): "mordant",
    ("no", "tannin"): "tannin", ("no", "after-bath"): "after-bath", ("no", "dye"): "dye",
    ("undyed",): "dye", ("no", "modifier"): "after-bath",
}  # fmt: skip


def beginning(at: Cursor, told: Told) -> str:
    """The treatment a line begins with, stepped over; empty where it begins with none."""
    at.take_any(("-", "–", "*", "•"))
    for words, kind in _WITHOUT.items():
        if at.take(*words):
            told.tannin = kind == "tannin"
            told.named.append(Named("none", 0, none=True))
            told.note(_remark(at))
            return "mordant" if told.tannin else kind
    if at.word(1) in BEGIN and at.word(2) == ":":
        warmth(at, told)  # cold mordant: alum 12 %
    _material_first(at)
    kind = next((k for w, k in _TWO_WORDS.items() if at.take(*w)), "")
    if not kind and at.word() in BEGIN:
        kind = BEGIN[at.word()]
        colon = at.word(1) in (":", "-", "–")
        if at.word() == "dung" and not colon:
            return ""
        if not colon and kind in ("dry", "tannin", "wash"):
            # dried weld 50 %; tannin 8 %; washing soda
            after = at.peek(1)
            if kind == "dry" and after.kind == "word" and uses_of(after.text):
                return ""
            if kind == "tannin" and after.kind != "word":
                told.tannin = True
                return "mordant"
        at.at += 1
    if not kind:
        for rule in RULES:
            if rule.__name__ == "bath" and rule(at, told):
                kind = "dye"
                if at.word() not in (":",):
                    at.take("of")
    if not kind:
        return ""
    at.take_any(("bath",))
    at.take_any((":", "-", "–"))
    at.take_any(("with", "in", "by", "using"))
    if kind == "tannin":
        told.tannin = True
        return "mordant"
    told.vat = kind == "vat"
    return "dye" if told.vat else kind


def _remark(at: Cursor) -> str:
    """The rest of a part, stepped over, if it is words only and names no material."""
    start, part = at.at, at.peek().part
    while at.peek().kind == "word" and at.peek().part == part and not uses_of(at.word()):
        at.at += 1
    if at.peek().kind != "end" and at.peek().part == part:
        at.at = start
    return at.text(start) if at.at > start else ""


def _material_first(at: Cursor) -> None:
    """Put the treatment of iron mordant 2 %, copper after-bath, iron dip before its material."""
    n = next((n for n in (3, 2, 1) if uses_of(" ".join(at.word(i) for i in range(n)))), 0)
    uses = uses_of(" ".join(at.word(i) for i in range(n)))
    word, two = at.word(n), (at.word(n), at.word(n + 1))
    if (
        not n
        or at.peek().kind != "word"
        or any(at.peek(i).part != at.peek().part for i in range(n + 1))
    ):
        return
    if two == ("after", "bath") or word in ("after-bath", "afterbath", "afterdip", "after-dip"):
        kind, size = "after-bath", 1 + (word == "after")
    elif word == "mordant" and "mordant" in uses:
        kind, size = "mordant", 1
    elif word == "dip" and "modifier" in uses and "dyestuff" not in uses:
        kind, size = "after-bath", 1
    else:
        return
    first = at.tokens[at.at]
    del at.tokens[at.at + n : at.at + n + size]
    at.tokens.insert(at.at, replace(first, kind="word", text=kind))
