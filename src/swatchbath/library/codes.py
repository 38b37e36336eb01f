"""Codes for swatches: short enough to pencil on a tag, and a slip of the pencil is noticed.

Five characters from nineteen that do not look alike in pencil, also upside down (no 0 O Q, 1 I L,
2 Z, 5 S, 8 B, 9 G, U V W Y). The last is a check character: with a prime number of characters and
a different weight at each place, any one wrong character and any two swapped ones are noticed
(the usual weighted check over a prime field, as in ISO/IEC 7064's and ISBN's schemes).
"""

from __future__ import annotations

from ..errors import BadValue

ALPHABET = "3467ACDEFHJKMNPRTXY"
_PRIME = len(ALPHABET)
_PLACES = 4
_WEIGHTS = (1, 2, 3, 4)
MOST = _PRIME**_PLACES
# Any number without the factor 19: steps through all codes once, and makes neighbours look unlike.
_STRIDE = 50021


def code(number: int, start: int = 0) -> str:
    """The code of the swatch with this running number, 0 to 130320, in a library that begins at
    `start` of the ring of all codes. Two libraries of 200 swatches that begin at random share no
    code but once in 300."""
    if not 0 <= number < MOST:
        raise BadValue(f"This library has used all of its {MOST} codes.")
    value = (number + start) % MOST * _STRIDE % MOST
    digits = []
    for _ in range(_PLACES):
        value, digit = divmod(value, _PRIME)
        digits.append(digit)
    return "".join(ALPHABET[d] for d in [*digits, _check(digits)])


def _check(digits: list[int]) -> int:
    return sum(w * d for w, d in zip(_WEIGHTS, digits, strict=True)) % _PRIME


def parse_code(text: str) -> str:
    """A code as typed, put straight (case, blanks); BadValue when it cannot be one of ours."""
    typed = "".join(text.split()).replace("-", "").upper()
    strange = sorted(set(typed) - set(ALPHABET))
    if len(typed) != _PLACES + 1 or strange:
        why = f"it never holds {' or '.join(strange)}" if strange else "a code has five characters"
        raise BadValue(f"'{text}' is not a swatch code: {why}. Look at the tag again.")
    digits = [ALPHABET.index(ch) for ch in typed]
    if _check(digits[:-1]) != digits[-1]:
        raise BadValue(
            f"'{text}' is not a swatch code: its last character does not fit the others, so one "
            "was read or typed wrongly. Look at the tag again."
        )
    return typed


def is_code(text: str) -> bool:
    """Whether a text is one of our codes."""
    try:
        parse_code(text)
    except BadValue:
        return False
    return True
