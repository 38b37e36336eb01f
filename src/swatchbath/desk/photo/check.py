"""How good a photo is for colour, and how to take a better one."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ...colorimetry.measurement import Check
from ...errors import PhotoRefused
from ...photo import measure as measure_photo
from ...photo import read_photo
from ...photo.place.checks import worst
from ...photo.place.quality import check_photo
from .check_words import check_words
from .places import Places, typed_places

# What makes most of the difference, in the order in which it does; the guide has the figures.
ADVICE = (
    "Daylight from one large window or open shade, lamps off: under lamps the errors double.",
    "Card beside the swatch, lying flat in the same light, no shadow or shine on either.",
    "Both swatches in one photo when two are to be compared.",
    "Trust strong yellow-oranges, and greens turning to blue, least, and naturals most.",
)
_ORDER = ("refused", "doubtful", "fine")
_VERDICT = {
    "fine": "good for colour",
    "doubtful": "usable, with doubts",
    "refused": "not usable for colour",
}


def check(
    photo: str,
    *,
    card: str | None = None,
    swatches: Iterable[str] = (),
    encoding: str | None = None,
) -> dict[str, Any]:
    """Judge a photo as a whole, and its card and swatches where they are pointed at or lie on a
    photo sheet; plain values. Raises PhotoRefused for a file that is no photo."""
    opened = read_photo(photo, encoding=encoding)
    swatches = list(swatches)
    found: list[Check] = list(check_photo(opened))
    notes = list(opened.notes)
    unseen = ""
    unread: tuple[str, ...] = ()
    try:
        places = typed_places(opened, card, swatches)
    except PhotoRefused as error:
        if card or swatches:
            raise
        # Nothing was pointed at: the photo is judged without its card, and why is said.
        places = Places(None, {})
        unseen = str(error)
    if places.card is not None:
        try:
            shot = measure_photo(
                opened,
                card=places.card,
                swatches=places.swatches,
                paper=places.paper,
                encoding=encoding,
            )
        except PhotoRefused as error:
            if not error.checks:
                raise
            found += error.checks
        else:
            found += shot.checks
            found += [c for name in shot for c in shot[name].checks if c not in shot.checks]
            found += [Check("swatch", "refused", reason) for reason in shot.refused.values()]
            unread = tuple(shot.refused) if len(shot) else ()
            notes += [n for name in shot for n in shot[name].notes]
    level = worst(found)
    ranked = sorted(found, key=lambda c: _ORDER.index(c.level))
    words = check_words(
        Path(photo).name, level, ranked, unseen=unseen, camera=opened.camera, unread=unread
    )
    return {
        "photo": Path(photo).name,
        "camera": opened.camera,
        "size": list(opened.size),
        "level": level,
        "verdict": _VERDICT[level] + ("" if places.card else "; the grey card was not judged"),
        "words": words,
        "checks": [dict(vars(c)) for c in ranked],
        "notes": list(dict.fromkeys(notes)),
        "advice": [] if level == "fine" else list(ADVICE),
    }
