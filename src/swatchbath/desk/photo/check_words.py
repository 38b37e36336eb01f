"""How good a photo is for colour, said as one person says it to another."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ...colorimetry.measurement import Check
from .beside import listed

# What is wrong, by the name of a check, in words that go on from "it"; {} is the swatch's name. A
# check that is not here is told in its own sentence.
_WRONG = {
    "size": "it has few pixels for a swatch",
    "brightness": "it is too dark",
    "clipping": "large parts of it are so bright that no colour is left in them",
    "sharpness": "it is blurred or shaken",
    "card clipped": "parts of the grey card are so bright that no colour is left in them (clipped)",
    "card too dark": "the grey card came out too dark",
    "card too bright": "the grey card came out too bright",
    "card cast": "the light is strongly coloured, or that is not the grey card",
    "card texture": "the grey card does not look even: glare, a shadow, or something else",
    "swatch clipped": "parts of swatch {} are so bright that no colour is left in them (clipped)",
    "swatch too bright": "swatch {} came out so bright that parts of it may have no colour left",
    "swatch too dark": "swatch {} came out too dark to tell its colour",
    "swatch too strong": "swatch {} is so strong in colour that the photo holds nothing of one of "
    "its channels, which leaves its depth less sure",
    "swatch pixels": "swatch {} has few pixels",
    "swatch specks": "something of another colour lies in the place of swatch {}",
    "swatch uneven": "swatch {} is not of one colour, so another place on it would read otherwise",
}
# What is said to be fine, where every check of these names, or that start so, is.
_FINE = (
    ("good light", ("brightness", "clipping", "card too", "card cast", "even light", "one light")),
    ("sharp", ("sharpness",)),
    ("card fine", ("card clipped", "card texture")),
    ("swatches fine", ("swatch ",)),
)
_COUNT = {1: "One thing", 2: "Two things", 3: "Three things", 4: "Four things"}
_AT = re.compile(r" at \(-?\d+, -?\d+\)")
_WHOSE = re.compile(r"^Swatch (.+?)(?: at \(-?\d+, -?\d+\))?: ")


def check_words(
    photo: str,
    level: str,
    checks: Sequence[Check],
    *,
    unseen: str,
    camera: str | None,
    unread: Sequence[str] = (),
) -> list[str]:
    """What to say of a photo, one paragraph each: whether it can be used and what is good; each
    thing that is not, with what to do; whose camera it is.

    photo : its name. level : the gravest. checks : the gravest first. unseen : why the grey card
    was not judged; empty where it was. unread : swatches that cannot be read, where others can.
    """
    wrong = [c for c in checks if c.level != "fine"]
    rest_is_fine = all(c.name == "swatch" for c in wrong if c.level == "refused")
    good = _good(checks)
    verdict = {
        "fine": f"{photo} is good for colour.",
        "doubtful": f"{photo} can be used for colour, with doubts.",
        "refused": f"{photo} can be used for colour, but not for {listed(unread)}."
        if unread and rest_is_fine
        else f"{photo} cannot be used for colour.",
    }[level]
    out = [" ".join([verdict, *([f"{good[0].upper()}{good[1:]}."] if good else [])])]
    if wrong:
        count = _COUNT.get(len(wrong), f"{len(wrong)} things")
        worst = ", the worst first" if len({c.level for c in wrong}) > 1 else ""
        first, *rest = (_told(c) for c in wrong)
        if rest:
            out += [f"{count}{worst}.", *(f"{t[0].upper()}{t[1:]}" for t in (first, *rest))]
        else:
            out.append(f"{count}: {first}")
    if unseen:
        out.append(f"The grey card was not judged. {unseen}")
    if camera is None:
        out.append(
            "It does not say which camera took it. Say so when you record or measure it, so that "
            'it is compared with others of that camera: --camera-name "my phone".'
        )
    else:
        out.append(f"It says which camera took it: {camera}.")
    return out


def _good(checks: Sequence[Check]) -> str:
    """What is fine, in a row."""
    words = []
    for said, names in _FINE:
        of_it = [c for c in checks if c.name.startswith(names)]
        if of_it and all(c.level == "fine" for c in of_it):
            words.append("swatch fine" if said == "swatches fine" and _one(of_it) else said)
    return ", ".join(words)


def _one(checks: Sequence[Check]) -> bool:
    return len({m[1] for c in checks if (m := _WHOSE.match(c.sentence))}) == 1


def _told(check: Check) -> str:
    """What is wrong, and what to do."""
    whose = _WHOSE.match(check.sentence)
    words = _WRONG.get(check.name)
    if words is None or ("{}" in words and whose is None):
        words = _AT.sub("", check.sentence).rstrip(".")
    elif whose is not None:
        words = words.format(whose[1])
    return f"{words}. {check.remedy}".strip()
