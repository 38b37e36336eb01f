"""A shade in a photo, as what is asked for: read against the card, and beside her own swatches."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from ...colorimetry.lab import linear_srgb_to_xyz, xyz_to_lab
from ...conditions.vocabulary import meaning
from ...errors import BadValue, PhotoRefused
from ...library import Library
from ...photo import Photo, read_photo
from ...photo.place.region import read_region
from ..text.parse import Target, parse_lab, wish
from .beside import listed, own_in
from .in_frame import NOTHING_MORE, InFrame
from .measured import MeasuredPhoto, measure_in
from .own_pieces import of_another_library
from .places import Places, typed_places
from .whose_camera import camera_words

_SHADE = "shade"


@dataclass(frozen=True, eq=False)
class PhotoShade:
    """A shade in a photo. target : as it is asked for. measured : how it was read; None for a wish,
    a photo without a card."""

    target: Target
    measured: MeasuredPhoto | None = None


def shade_in_photo(
    library: Library | None,
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    at: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
) -> PhotoShade:
    """The colour at a place in a photo with a card; with card="none" a wish, as the picture shows.

    at : x,y or x,y,half, or the name of a place of the photo sheet; on that it may be left out
    where one place alone holds something that is not on record. Swatches on record lie beside, as
    typed or by their codes on the sheet.
    Raises BadValue, NotFound, PhotoRefused.
    """
    opened = read_photo(photo, encoding=in_frame.encoding)
    by_name = at is not None and not re.search(r"[,;\s]", at.strip())
    typed = [] if at is None or by_name else [f"{_SHADE}={at}"]
    if meaning("fibre", card or "") == "none":
        if card_lab is not None or in_frame.given:
            option = "--card-lab" if card_lab is not None else in_frame.given[0]
            raise BadValue(
                f"{option} tells of a photo that is measured, and --card none says there is no "
                "card. Leave one of them out."
            )
        if not typed:
            raise BadValue("Say where in the photo the shade is: --at x,y or x,y,half.")
        places = typed_places(opened, None, typed, card_needed=False)
        light = read_region(opened, places.swatches[_SHADE], what="the shade").rgb
        called = f"the place {at} in {opened.name}"
        return PhotoShade(wish(xyz_to_lab(linear_srgb_to_xyz(light)), called))
    try:
        places = typed_places(
            opened, card, typed, beside=in_frame.beside, card_needed=not in_frame.has_card
        )
    except PhotoRefused as error:
        if typed:
            raise
        raise BadValue(
            "Say where in the photo the shade is: --at x,y or x,y,half; or photograph it on a "
            "photo sheet."
        ) from error
    return _measured(library, opened, places, at, bool(typed), card_lab, in_frame)


def refuse_without_photo(
    card: str | None, card_lab: str | None, at: str | None, in_frame: InFrame
) -> None:
    """BadValue where something tells of a photo, and none is named."""
    typed = [("--card", card), ("--card-lab", card_lab), ("--at", at)]
    given = [option for option, value in typed if value is not None] + list(in_frame.given)
    for option in given:
        raise BadValue(f"{option} goes with a photo; name it with --photo.")


def _measured(
    library: Library | None,
    photo: Photo,
    places: Places,
    at: str | None,
    pointed_at: bool,
    card_lab: str | None,
    in_frame: InFrame,
) -> PhotoShade:
    own = own_in(library, photo.id, places)
    name, where = _SHADE, f"the place {at} in {photo.name}"
    if not pointed_at:
        name = _only([n for n in places.swatches if n not in own or n == at], at)
        where = f"what lies on place {name} in {photo.name}"
    lab = None if card_lab is None else parse_lab(card_lab)
    done = measure_in(
        photo,
        {name: places.swatches[name]},
        in_frame.read(places.card, lab, paper=places.paper),
        library=library,
        own=own,
        camera_name=in_frame.camera_name,
        sitting=in_frame.sitting,
    )
    reading = done.shot[name]
    yarn = [note for note in places.notes if "passed over" in note]
    yarn += of_another_library(library, places)
    said = (*camera_words([done.camera], library=library is not None), *done.beside, *yarn)
    return PhotoShade(Target(reading, reading.lab, where, said=said, beside=done.shot.beside), done)


def _only(there: Sequence[str], at: str | None) -> str:
    """The one place that holds what is asked for, or that called `at`. Raises BadValue."""
    if not there:
        raise BadValue("Say where in the photo the shade is: --at x,y or x,y,half.")
    if at is not None:
        if at.strip() in there:
            return at.strip()
        raise BadValue(
            f"'{at}' is no place in this photo; give --at x,y or x,y,half, or one of the sheet's "
            f"places with something on it: {', '.join(there)}."
        )
    if len(there) > 1:
        raise BadValue(
            f"The places {listed(there)} of the sheet hold what may be the shade. Leave only one "
            f"thing on it that is not on record, or say which is it, such as --at {there[0]}."
        )
    return there[0]
