"""Plain words for a colour, and for the way one colour differs from another."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from .difference import delta_e2000, lightness_chroma_hue
from .lab import lab_to_lch

# Hue names by CIELAB hue angle, upper end of each in degrees; depth and strength words by L* and
# C*. Everyday names set by eye on the CIELAB circle; common practice, no source.
_HUES = (
    (15, "pink-red"),
    (38, "red"),
    (58, "orange"),
    (78, "orange-yellow"),
    (103, "yellow"),
    (120, "green-yellow"),
    (165, "green"),
    (210, "blue-green"),
    (285, "blue"),
    (310, "violet"),
    (345, "purple"),
    (360, "pink-red"),
)
_DEPTHS = ((20, "very dark"), (38, "dark"), (62, ""), (82, "light"), (np.inf, "pale"))
# Below this chroma a colour reads as grey, and a hue difference says nothing (CIELAB C* of about
# 2 to 4; common practice, no source).
_GREY_CHROMA = 4.0

# Size words by the CIEDE2000 share of one direction: under the first nothing is said. A
# difference of about 1 is just seen by convention; common practice, no source.
_SIZES = ((0.5, ""), (1.5, "a touch"), (3.0, "a little"), (6.0, "clearly"), (np.inf, "much"))


def colour_words(lab: ArrayLike) -> str:
    """A colour in everyday words: "deep brown-orange", "pale yellow", "dark grey".

    >>> colour_words([75, 5, 60])
    'light yellow'
    """
    L, C, h = (float(x) for x in lab_to_lch(lab))
    family = _family(L, C, h)
    depth = "" if family in ("white", "black") else next(w for end, w in _DEPTHS if end > L)
    strength = "" if C < _GREY_CHROMA else "greyish" if C < 12 else "dull" if C < 25 else ""
    return " ".join(w for w in (depth, strength, family) if w)


# The families of colours as a box of them is sorted: round the hues, the browns beside what they
# are dull of, greys last.
FAMILIES = (
    "pink-red", "red", "red-brown", "orange", "brown", "orange-yellow", "yellow-brown", "yellow",
    "green-yellow", "green", "blue-green", "blue", "violet", "purple", "grey", "white", "black",
)  # fmt: skip


def families(labs: ArrayLike) -> list[str]:
    """The family of each colour (n, 3), one of `FAMILIES`: its words without depth and strength.

    >>> families([[75, 5, 60], [40, 20, 15]])
    ['yellow', 'red-brown']
    """
    return [_family(*row) for row in np.atleast_2d(lab_to_lch(labs)).tolist()]


def _family(L: float, C: float, h: float) -> str:
    if C < _GREY_CHROMA:
        return "white" if L > 93 else "black" if L < 12 else "grey"
    hue = next(name for end, name in _HUES if h <= end)
    if hue in ("orange", "orange-yellow", "red") and C < 42 and L < 62:
        return {"orange": "brown", "orange-yellow": "yellow-brown", "red": "red-brown"}[hue]
    return hue


def _sized(amount: float, word: str) -> tuple[float, str]:
    size = abs(amount)
    adverb = next(name for end, name in _SIZES if size <= end)
    return size, f"{adverb} {word}" if adverb else ""


def difference_words(sample: ArrayLike, standard: ArrayLike) -> str:
    """How a sample looks beside a standard: "a little lighter, clearly yellower".

    Each direction is sized by its own share of CIEDE2000; the largest comes first. Near grey,
    where hue says nothing, redder or greener and yellower or bluer are told from a* and b*.

    >>> difference_words([54, 10, 32], [50, 10, 32])
    'clearly lighter'
    """
    s, t = np.asarray(standard, float), np.asarray(sample, float)
    dL, dC, dH = lightness_chroma_hue(s, t)
    lch = lab_to_lch((s + t) / 2)
    parts = [
        _sized(
            np.copysign(delta_e2000(s, s + [t[0] - s[0], 0, 0]), dL),
            "lighter" if dL > 0 else "darker",
        )
    ]
    if lch[1] < 2 * _GREY_CHROMA:
        a_only, b_only = s + [0, t[1] - s[1], 0], s + [0, 0, t[2] - s[2]]
        parts.append(_sized(float(delta_e2000(s, a_only)), "redder" if t[1] > s[1] else "greener"))
        parts.append(_sized(float(delta_e2000(s, b_only)), "yellower" if t[2] > s[2] else "bluer"))
    else:
        scale = np.hypot(s[1], s[2])
        stretched = s * [1, (scale + dC) / max(scale, 1e-9), (scale + dC) / max(scale, 1e-9)]
        parts.append(_sized(float(delta_e2000(s, stretched)), "brighter" if dC > 0 else "duller"))
        turned = t * np.array([0, 1, 1]) * scale / max(np.hypot(t[1], t[2]), 1e-9)
        size = float(delta_e2000(s, turned + [s[0], 0, 0]))
        parts.append(_sized(size, _toward(float(lch[2]), dH > 0)))
    said = [words for _, words in sorted(parts, key=lambda p: -p[0]) if words]
    return ", ".join(said) if said else "no difference to speak of"


def _toward(hue: float, counterclockwise: bool) -> str:
    """Which of red, yellow, green, blue a hue moves toward (the four ends of a* and b*)."""
    ends = (("redder", 0.0), ("yellower", 90.0), ("greener", 180.0), ("bluer", 270.0))
    turn = 1 if counterclockwise else -1
    # The next end reached when turning that way, at least 5 degrees off, so that a yellow
    # turning toward red is "redder" and not, at 91 degrees, "yellower".
    word, _ = min(ends, key=lambda e: ((e[1] - hue) * turn - 5) % 360)
    return word


# How a reading was made, by its rung.
_RUNGS = {
    "pictured": "by the picture alone, without a card",
    "card": "with a grey card",
    "camera": "with a grey card and the profile of its camera",
    "greys": "with white, grey and black",
    "beside": "beside your own swatches",
    "known": "beside swatches of known colour",
    "chart": "with a chart of 24 colours",
    "instrument": "by an instrument",
}


def rung_words(rung: str) -> str:
    """How a reading was made, in words that follow "measured": "with a grey card"."""
    return _RUNGS[rung]
