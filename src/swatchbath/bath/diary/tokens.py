"""A diary line as tokens, and a place in it from which to look on."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Kind = Literal["number", "word", "quoted", "sign", "end"]

# Shorthand that is one word: 1 h @ 80 C, 100 % dry wt.
_SHORT = {"@": "at", "wt": "weight"}
# What a whole is divided into; other fractions are two numbers, as in alum/tartar 12/6 %.
_DIVIDED = (2, 3, 4, 5, 6, 8, 10, 16)
_PARTS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1 / 3, "⅔": 2 / 3}
_TOKEN = re.compile(
    r"""
    (?P<quoted>"[^"]*"|“[^”]*”|„[^“”]*[“”])
  | (?P<number>\d+\ \d/\d+ | \d+/\d+ | \d+(?:[.,]\d+)*(?:e[+-]\d+|[½¼¾⅓⅔])?
        | [½¼¾⅓⅔] | (?<![\w%])\.\d+)
  | (?P<word>[^\W\d_]+(?:['’-][^\W\d_]+)*(?:\.[^\W\d_])*\.?)
  | (?P<sign>->|\S)
    """,
    re.VERBOSE,
)


@dataclass(frozen=True)
class Token:
    """A piece of a line: its kind, its text in lower case, where it stands, and which part it is
    in (parts end at a comma or semicolon)."""

    kind: Kind
    text: str
    start: int
    end: int
    part: int


def tokenize(line: str) -> list[Token]:
    """The tokens of a line, an `end` token last.

    >>> [t.text for t in tokenize("weld 5,5 %, 60°C, pH6")]
    ['weld', '5,5', '%', ',', '60', '°', 'c', ',', 'ph', '6', '']
    """
    out: list[Token] = []
    part = depth = 0
    for m in _TOKEN.finditer(line):
        kind: Kind = m.lastgroup  # type: ignore[assignment]
        text = m[0].casefold().replace("’", "'").replace("º", "°").replace("×", "x")
        depth = max(0, depth + (text == "(") - (text == ")"))
        text = text.rstrip(".") if kind == "word" else text
        text = _SHORT.get(text, text)
        kind = "word" if text == "at" else kind
        part += text in (",", ";") and not depth
        out.append(Token(kind, text, m.start(), m.end(), part))
    out.append(Token("end", "", len(line), len(line), part + 1))
    return out


def value_of(number: str) -> float:
    """The value of a number token, or NaN where it can be read in two ways (1,500 or 12/6)."""
    if re.fullmatch(r"[1-9]\d{0,2}(?:,\d{3})+|\d+[.,]\d+[.,][\d.,]+", number):
        return float("nan")
    whole, _, rest = number.rpartition(" ")
    if "/" in rest:
        part, _, of = rest.partition("/")
        if not 0 < int(part) < int(of) or int(of) not in _DIVIDED:
            return float("nan")
        return float(whole or 0) + float(Fraction(rest))
    if number[-1] in _PARTS:
        return (float(number[:-1]) if number[:-1] else 0.0) + _PARTS[number[-1]]
    return float(number.replace(",", "."))


class Cursor:
    """A place in the tokens of a line. Looking past the end gives the `end` token."""

    def __init__(self, line: str) -> None:
        self.line = line
        self.tokens = tokenize(line)
        self.at = 0
        self.begun = 0  # the first token after the treatment a line begins with

    def peek(self, ahead: int = 0) -> Token:
        """The token so many places ahead."""
        return self.tokens[min(max(self.at + ahead, 0), len(self.tokens) - 1)]

    def word(self, ahead: int = 0) -> str:
        """The text of a word or sign ahead; empty for a number, a quoted name or the end."""
        token = self.peek(ahead)
        return token.text if token.kind in ("word", "sign") else ""

    def take(self, *words: str) -> bool:
        """Step over these words if they stand here, one after another."""
        if all(self.word(i) == w for i, w in enumerate(words)):
            self.at += len(words)
            return True
        return False

    def take_any(self, words: frozenset[str] | tuple[str, ...]) -> str:
        """Step over one of these words and give it; empty where none stands here."""
        word = self.word()
        if word and word in words:
            self.at += 1
            return word
        return ""

    def glued(self, ahead: int = 0) -> bool:
        """Whether a token stands against the one before it."""
        return self.peek(ahead).start == self.peek(ahead - 1).end and self.at + ahead > 0

    def text(self, first: int, last: int | None = None) -> str:
        """The line as typed from one token up to another, which is not part of it."""
        stop = self.at if last is None else last
        return self.line[self.tokens[first].start : self.tokens[max(stop - 1, first)].end]

    def part_text(self, part: int) -> str:
        """A whole part as typed."""
        told = self.tokens[self.begun :]
        there = [t for t in told if t.part == part and t.text not in (",", ";", "")]
        return self.line[there[0].start : there[-1].end] if there else ""

    def code(self) -> str:
        """The run of characters up to a blank, comma, semicolon or bracket, stepped over."""
        found = re.match(r"[^\s,;()]+", self.line[self.peek().start :])
        if found is None:
            return ""
        stop = self.peek().start + found.end()
        while self.peek().kind != "end" and self.peek().start < stop:
            self.at += 1
        return found[0]
