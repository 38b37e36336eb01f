"""Several places in one photo, read together, so that what is wrong with all of them cancels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ...colorimetry.measurement import Measurement
from ...errors import BadValue, NotFound, PhotoRefused
from ...library import Library
from ...library.codes import is_code
from ...photo import read_photo
from ..text.parse import parse_lab
from .in_frame import NOTHING_MORE, InFrame
from .measured import measure_in
from .places import typed_places

_NO_CARD = (
    "No grey card was found. Say where the card and the skeins are: --card x,y, and --at x,y once "
    "for each; or photograph them on a photo sheet."
)


@dataclass(frozen=True, eq=False)
class SeveralInPhoto:
    """readings : by what each place is called. own : code and name of those that are on record, by
    the same. left_out : places that could not be read, one sentence each."""

    readings: Mapping[str, Measurement]
    own: Mapping[str, tuple[str, str | None]] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()


def several_in_photo(
    library: Library | None,
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    at: Sequence[str] = (),
    in_frame: InFrame = NOTHING_MORE,
) -> SeveralInPhoto:
    """The colours at several places in a photo with a card, all as that frame shows them.

    at : x,y or x,y,half, or NAME=x,y; none: all that lies on the photo sheet. Places without a name
    are numbered in their order. Swatches of `library` on the sheet are told by their codes.
    Raises BadValue, NotFound, PhotoRefused.
    """
    opened = read_photo(photo, encoding=in_frame.encoding)
    if in_frame.beside:
        raise BadValue(
            "A pile is compared within its photo; leave --beside out, and point at those too."
        )
    typed = [item if "=" in item else f"{i}={item}" for i, item in enumerate(at, start=1)]
    try:
        places = typed_places(opened, card, typed, card_needed=not in_frame.has_card)
    except PhotoRefused as error:
        if typed and card is not None:
            raise
        raise BadValue(_NO_CARD) from error
    if places.card is None and not in_frame.has_card:
        raise BadValue(_NO_CARD)
    lab = None if card_lab is None else parse_lab(card_lab)
    done = measure_in(
        opened,
        places.swatches,
        in_frame.read(places.card, lab, paper=places.paper),
        library=library,
        camera_name=in_frame.camera_name,
        sitting=in_frame.sitting,
    )
    refused = [f"{name}: {why}" for name, why in done.shot.refused.items()]
    readings = {name: done.shot[name] for name in done.shot}
    return SeveralInPhoto(readings, _on_record(library, readings), tuple(refused))


def _on_record(
    library: Library | None, names: Mapping[str, Measurement]
) -> dict[str, tuple[str, str | None]]:
    out = {}
    for name in names:
        if library is None or not is_code(name):
            continue
        try:
            found = library.swatch(name)
        except (NotFound, BadValue):
            continue  # a code of another library
        out[name] = (found.code, found.name)
    return out
