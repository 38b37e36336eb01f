"""Whether two places in one photo match, with further photos of the same pair."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...colorimetry.measurement import Measurement
from ...errors import BadValue, PhotoRefused
from ...match import Comparison
from ...match import compare as compare_colours
from ...match.mean import mean_reading
from ...photo import Photo, Region, Shot, read_photo
from ...photo import measure as measure_photo
from ...photo.correction.illumination import per_brightness
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.places import Places, typed_places
from ..text.parse import Target, parse_lab
from ..text.verdict_words import Done

# The light may shift a little between a photo and that of the two swapped (natural logarithm of
# brightness at a place); as between a photo and that of a blank sheet. Common practice, no source.
_SHIFTS = 0.015
NAMES = ("the first", "the second")


@dataclass(frozen=True, eq=False)
class PairInPhoto:
    """Two places as read. a, b : for the question; uneven : standard deviation over each place, in
    CIEDE2000; done : what was done to read them; said : sentences; lamp : the same two under a
    second light, or None; places : where each was read in the first photo, as x, y, half."""

    a: Target
    b: Target
    uneven: tuple[float, float]
    done: Done
    said: tuple[str, ...] = ()
    lamp: tuple[Measurement, Measurement] | None = None
    places: tuple[tuple[float, float, float], ...] = ()


def pair_in_photo(
    photo: str,
    at: Sequence[str],
    *,
    card: str | None = None,
    card_lab: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    swapped: str | None = None,
    lamp: str | None = None,
) -> PairInPhoto:
    """Read two places of a photo, and of further ones of the same two.

    at : x,y or x,y,half of the first and the second piece; then, where they are not as follows, of
    the two in the photo where they are swapped (each where the other lay, all else left), and in
    that under a second lamp (where they lay). card, in_frame : for all photos; no card is needed.
    Where they lie on the photo sheet, its own paper tells of the light, and the card on it is used.
    Raises BadValue, PhotoRefused.
    """
    rounds = 1 + (swapped is not None) + (lamp is not None)
    if len(at) % 2 or not 2 <= len(at) <= 2 * rounds:
        raise BadValue(
            "Say where the two are: --at x,y twice, the first piece before the second; and twice "
            "more for each further photo in which they do not lie as expected."
        )
    if in_frame.beside:
        raise BadValue("--beside goes with one place in a photo; two are compared as they lie.")
    first, rest = list(at[:2]), [list(at[i : i + 2]) for i in range(2, len(at), 2)]
    shot, size, places = _read(photo, first, card, card_lab, in_frame)
    one, two = (shot[n] for n in NAMES)
    uneven = (shot.uneven[NAMES[0]], shot.uneven[NAMES[1]])
    said = list(places.notes)
    if swapped is not None:
        there = rest.pop(0) if rest and (lamp is None or len(rest) == 2) else first[::-1]
        again, other, _ = _read(swapped, there, card, card_lab, in_frame)
        if other != size:
            raise BadValue(
                "The two photos differ in size, so that the light in one does not tell of the "
                "other. Take both from one place, and send neither through a messenger."
            )
        one, two = _without_light((one, again[NAMES[0]]), (two, again[NAMES[1]]))
        said.append("Both photos, the two swapped, were taken together: the light cancels.")
    under = None
    if lamp is not None:
        lit, *_ = _read(lamp, rest.pop(0) if rest else first, card, card_lab, in_frame)
        under = lit[NAMES[0]], lit[NAMES[1]]
    done = Done(
        places=True, card=places.card is not None or in_frame.has_card,
        chart=in_frame.chart is not None, paper=bool(in_frame.paper or places.paper),
        swapped=swapped is not None,
    )  # fmt: skip
    if places.paper:
        said.append("The photo sheet's bare paper tells how evenly it is lit.")
    if not done.card:
        said.append("Read without a card: only the difference counts, not the two colours.")
    targets = [Target(m, m.lab, n) for m, n in zip((one, two), NAMES, strict=True)]
    at_places = tuple((r.x, r.y, r.half) for r in (places.swatches[n] for n in NAMES))
    return PairInPhoto(targets[0], targets[1], uneven, done, tuple(said), under, at_places)


def _read(
    photo: str, at: Sequence[str], card: str | None, card_lab: str | None, in_frame: InFrame
) -> tuple[Shot, tuple[int, int], Places]:
    opened: Photo = read_photo(photo, encoding=in_frame.encoding)
    typed = [f"{name}={place}" for name, place in zip(NAMES, at, strict=True)]
    # Two papers may not be equally white: the sheet's is left where another is pointed at.
    places = typed_places(opened, card, typed, card_needed=False, by_its_light=not in_frame.paper)
    lab = None if card_lab is None else parse_lab(card_lab)
    known = in_frame.read(places.card, lab, paper=places.paper)
    _apart(places.swatches[NAMES[0]], places.swatches[NAMES[1]])
    shot = measure_photo(
        opened, swatches=places.swatches, camera_name=in_frame.camera_name,
        sitting=in_frame.sitting, pictured=known.card is None and known.chart is None,
        **known.keywords,
    )  # fmt: skip
    if shot.refused:
        why = " ".join(shot.refused.values()).replace("Swatch the", "The")
        raise PhotoRefused(why, checks=shot.checks)
    return shot, opened.size, places


def _apart(one: Region, two: Region) -> None:
    if np.hypot(one.x - two.x, one.y - two.y) < min(one.half, two.half):
        raise BadValue("Both --at lie on one place; point at the two pieces.")


def _without_light(
    ones: Sequence[Measurement], twos: Sequence[Measurement]
) -> tuple[Measurement, Measurement]:
    """The mean of each over the two photos. Their light is one unknown, which falls on each piece
    once from either side, and so has no part in the difference, but for how it shifts."""
    out = []
    for pair in (ones, twos):
        called = [
            {s: "light:both" for s in reading.shared if s.startswith("light:")} for reading in pair
        ]
        mean = np.mean([r.lab for r in pair], axis=0)
        shift = per_brightness(mean) * _SHIFTS
        out.append(mean_reading(pair, called=called, scatter=np.outer(shift, shift) / 2))
    # One photo's scale for both, as where they lie in one.
    photo = ones[0].photo
    return out[0].replace(photo=photo), out[1].replace(photo=photo)


def under_lamp(pair: PairInPhoto, result: Comparison, level: float) -> dict[str, Any] | None:
    """How the match holds under the second lamp, as plain values with a sentence."""
    if pair.lamp is None:
        return None
    there = compare_colours(
        *pair.lamp, tolerance=result.tolerance, level=level, formula=result.formula
    )
    if there.verdict == "no match":
        words = "They part under that lamp." if result.verdict == "match" else "They differ there."
    elif there.verdict == "match":
        words = "They match under that lamp too." if result.verdict == "match" else (
            "Under that lamp they match."
        )  # fmt: skip
    else:
        words = "Under that lamp it cannot be told."
    return {"sentence": words} | {
        k: v for k, v in there.as_dict().items() if k in ("verdict", "interval", "delta_e2000")
    }


def unevenness_words(pair: PairInPhoto, result: Comparison) -> tuple[str, ...]:
    """Said first where a piece differs more within itself than from the other."""
    out = []
    for name, size in zip(NAMES, pair.uneven, strict=True):
        if size > max(result.difference, 1.0):
            out.append(
                f"{name[0].upper() + name[1:]} is unevenly dyed: it differs by {size:.1f} within "
                "itself, more than from the other. Compare like parts of both."
            )
    return tuple(out)


def as_called(target: Target, name: str) -> Target:
    """A place under another name."""
    return replace(target, called=name)
