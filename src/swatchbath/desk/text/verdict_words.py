"""What is said of two colours that were compared: the verdict first, what it rests on, what to do.

The ways to help are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...colorimetry.words import difference_words
from ...errors import BadValue
from ...match import Comparison
from .closeness import CLOSENESS
from .wording import chance_words

# What is asked of a pair, as `closeness` has it, and what is said where they are apart.
_APART = {
    "garment": "You would see it in one garment.",
    "customer": "A customer would see it.",
    "family": "They are not of one family.",
}
PURPOSES = {name: (*how, _APART[name]) for name, how in CLOSENESS.items()}
# The same differences that pass where little is asked, in words.
_GOOD_FOR = ((2.0, "one garment"), (4.0, "two pairs of socks"), (8.0, "stripes"))
# Under it a difference cannot be seen by convention; and is no difference to speak of.
_SEEN = 1.0
# L* by which one is called the lighter. Our own choice.
_DEPTH = 0.5
SHAPES = "Full disc: match. Two halves apart: no match. Ring: cannot tell."


def tolerance_of(tolerance: float | None, purpose: str | None) -> float:
    """The tolerance that is typed, or that of what is asked; 2 where neither is. BadValue."""
    if purpose is None:
        return 2.0 if tolerance is None else tolerance
    if tolerance is not None:
        raise BadValue("--for and --tolerance both say how close it must be; give one of them.")
    if purpose not in PURPOSES:
        raise BadValue(f"'{purpose}' is not known; --for takes {', '.join(PURPOSES)}.")
    return PURPOSES[purpose][0]


@dataclass(frozen=True)
class Done:
    """What was done already: paper, card, chart, swapped. places : whether both are places in one
    photo, so that another can be added. wish : whether a colour is none that was measured."""

    places: bool = False
    card: bool = False
    chart: bool = False
    paper: bool = False
    swapped: bool = False
    wish: bool = False


def verdict_words(
    r: Comparison, a: str, b: str, labs: Sequence[object], purpose: str | None, done: Done
) -> dict[str, object]:
    """Sentences on a comparison, by key. a, b : what the two are called; labs : their Lab."""
    asked = f"within {r.tolerance:g}" if purpose is None else PURPOSES[purpose][1]
    how = _looks(labs)
    return {
        "sentence": _sentence(r, a, asked, purpose, how, done),
        "likely": _likely(r),
        "mostly": _mostly(r),
        "settle": _settle(r, done),
        "meanwhile": _meanwhile(r, a, b),
        "for": purpose,
    }


def _looks(labs: Sequence[object]) -> str:
    """How the first looks beside the second, without sizes of a touch."""
    words = difference_words(labs[0], labs[1])  # type: ignore[arg-type]
    if words == "no difference to speak of":
        return ""
    plain = [part.split(" ")[-1] for part in words.split(", ")][:2]
    return " and ".join(plain)


def _up(value: float) -> str:
    """A difference rounded up to a tenth."""
    return f"{-(-value * 10 // 1) / 10:.1f}"


def _sentence(r: Comparison, a: str, asked: str, purpose: str | None, how: str, done: Done) -> str:
    low, high = r.interval
    if r.verdict == "match":
        seen = "No difference to be seen. " if high < _SEEN else ""
        return f"{seen}They match {asked}: any difference is under {_up(high)}."
    if r.verdict == "no match":
        looks = f": {a} is {how}" if how else ""
        told = PURPOSES[purpose][2] if purpose else f"The difference is over {r.tolerance:g}."
        return f"They differ{looks}. {told}"
    if r.leaning == "apart":
        looks = f": {a} looks {how}" if how else ""
        return f"Probably different{looks}."
    what = "this photo" if r.same_photo else "these readings"
    good = [words for limit, words in _GOOD_FOR if limit >= high and limit > r.tolerance]
    fit = f" Good enough for {good[0]}." if good and purpose in (None, "garment") else ""
    if r.difference < _SEEN or not how:
        return f"I see no difference, but {what} could hide one of up to {_up(high)}.{fit}"
    hides = f"{what[0].upper() + what[1:]} could hide a difference of up to {_up(high)}."
    return f"Nearly alike: {a} looks {how}. {hides}{fit}"


def _likely(r: Comparison) -> str:
    if r.verdict != "cannot tell":
        return ""
    odds = chance_words(r.chance_within)
    low = r.interval[0] * 10 // 1 / 10
    apart = f"would tell them apart within {low:.1f}, and " if low >= _SEEN else ""
    return (
        f"The chance that the true difference is within {r.tolerance:g} is {odds}. These readings "
        f"{apart}would be a match within {_up(r.settles)}, the least that they settle."
    )


def _mostly(r: Comparison) -> str:
    """Which of depth, brightness and hue makes most of the difference."""
    dL, _, _, dC, dH = (abs(v) for v in r.steps)
    if r.difference < _SEEN:
        return ""
    name, size = max(("depth", dL), ("brightness", dC), ("hue", dH), key=lambda p: p[1])
    return f"mostly {name}" if size**2 > (dL**2 + dC**2 + dH**2) / 2 else ""


def _settle(r: Comparison, done: Done) -> str:
    """The one thing that would settle it and was not done already."""
    if r.verdict != "cannot tell":
        return ""
    if done.wish:
        return "Compare with a swatch or a measured colour; a screen colour is too doubtful."
    if r.limited_by == "reading" and not r.same_photo:
        return r.would_settle
    if not done.places:
        return (
            "Lay the two touching, take a photo, swap them, and take another: swatchbath compare "
            "--photo first.jpg --swapped second.jpg --at x,y --at x,y."
        )
    steps = {
        "light": (
            (done.swapped, "Swap the two, leave all else as it lies, and take a second photo: add "
                           "--swapped second.jpg."),
            (done.paper, "Lay them on plain paper and say where it is bare, at six places around "
                         "them: --paper x,y,half."),
        ),
        "camera": (
            (done.card, "Lay a grey card beside them and say where it is: --card x,y."),
            (done.chart, "Lay a chart of 24 colours beside them and say where its four corners "
                         "are: --chart. By a grey card alone a photo may stretch a difference by "
                         "a third."),
        ),
        "texture": (),
    }  # fmt: skip
    order = [r.limited_by, "light", "camera"] if r.limited_by in steps else ["light", "camera"]
    if r.limited_by == "camera":
        if all(was for was, _ in steps["camera"]):
            return "Your own eye decides, the two touching in daylight."
        order = ["camera"]
    for kind in order:
        for was, what in steps[kind]:
            if not was:
                return what
    return (
        "Photograph them from nearer, so that more of each fills the picture, and mark larger "
        "places; else your own eye decides, the two touching in daylight."
    )


def _meanwhile(r: Comparison, a: str, b: str) -> list[str]:
    """What helps whatever the truth is: a knitter's ways, then a dyer's; nothing where the two are
    not of one family."""
    if r.verdict == "match" or r.delta_e2000 > CLOSENESS["family"][0]:
        return []
    one = f"{a if r.steps[0] > 0 else b}, the lighter one,"
    if abs(r.steps[0]) < _DEPTH:
        one = "the weaker one"
    return [
        "Knitting: take two rows from one and two from the other in turn, so that no edge shows; "
        "or let them meet where the stitch changes, at a cuff or a border.",
        f"Dyeing: give {one} a short dip in the same bath, weak or nearly "
        "spent; or put both through one after-bath together. Try 5 g first: you can darken and "
        "sadden a colour, not lighten it.",
    ]
