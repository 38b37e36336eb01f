"""Which characters are kept on record, and which are shown.

Escapes and other control characters steer a terminal, and marks of writing direction turn what is
read around; neither is part of any word. Letters of all scripts, accents, joiners and emoji stay.
"""

from __future__ import annotations

import re

# Control characters (Unicode's category Cc) but for tab, line feed and carriage return; marks and
# overrides of direction (Unicode Standard Annex 9); the byte-order mark.
_STEERING = "\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff"
_NOT_KEPT = re.compile(f"[{_STEERING}]")
# Lone surrogates stand for bytes that are no text. A carriage return writes over its own line.
_NOT_SHOWN = re.compile(f"[{_STEERING}\r\ud800-\udfff]")
# Characters: more than a path or a cell is long, and what is then left of it. Our own choice.
_LONG, _KEPT = 300, 60
_INSTEAD = "\N{REPLACEMENT CHARACTER}"


def kept(text: str) -> str:
    """A text as it is put on record: without characters that steer and are no part of it."""
    return _NOT_KEPT.sub("", text)


def shown(text: str) -> str:
    """A text as it is shown to a person: what would steer stands there as a mark of its own."""
    return _NOT_SHOWN.sub(_INSTEAD, text.replace("\r\n", "\n"))


def in_one_line(text: str) -> str:
    """A sentence in one line, what was quoted in it cut where it is longer than any cell or name: a
    damaged file may hold all of itself in one."""
    plain = re.sub(r"\s*[\r\n]+\s*", " ", text)
    if len(plain) <= _LONG:
        return plain
    plain = re.sub(rf"'([^']{{{_LONG},}})'", lambda found: f"'{found[1][:_KEPT]}...'", plain)
    return re.sub(rf"\S{{{_LONG},}}", lambda found: f"{found[0][:_KEPT]}...", plain)


def in_json(text: str) -> str:
    """JSON with what would steer written as JSON's own escapes; it says the same."""
    return _NOT_SHOWN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def is_text(text: str) -> bool:
    """Whether a text is whole, with no bytes in it that are none."""
    return not re.search("[\ud800-\udfff]", text)
