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
    "Say where the skeins are, --at x,y once for each, and where a grey card is, if there is one: "
    "--card x,y; or photograph them on a photo sheet with a grey card on it."
)
_PICTURED = "Read without a card: only how they differ counts, not the colours themselves."


@dataclass(frozen=True, eq=False)
class SeveralInPhoto:
    """readings : by what each place is called. own : code and name of those that are on record, by
    the same. left_out : places that could not be read, one sentence each; said : of how they were
    read."""

    readings: Mapping[str, Measurement]
    own: Mapping[str, tuple[str, str | None]] = field(default_factory=dict)
    left_out: tuple[str, ...] = ()
    said: tuple[str, ...] = ()


def several_in_photo(
    library: Library | None,
    photo: str,
    *,
    card: str | None = None,
    card_lab: str | None = None,
    at: Sequence[str] = (),
    in_frame: InFrame = NOTHING_MORE,
) -> SeveralInPhoto:
    """The colours at several places in a photo, all as that frame shows them.

    at : x,y or x,y,half, or NAME=x,y; none: all that lies on the photo sheet. Places without a name
    are numbered in their order. Where places are given no card is needed; that on the photo sheet
    they lie on is used, and its paper. Swatches of `library` on the sheet are told by their codes.
    Raises BadValue, NotFound, PhotoRefused.
    """
    opened = read_photo(photo, encoding=in_frame.encoding)
    if in_frame.beside:
        raise BadValue(
            "A pile is compared within its photo; leave --beside out, and point at those too."
        )
    typed = [item if "=" in item else f"{i}={item}" for i, item in enumerate(at, start=1)]
    try:
        places = typed_places(
            opened, card, typed, card_needed=not typed and not in_frame.has_card,
            by_its_light=not in_frame.paper,
        )  # fmt: skip
    except PhotoRefused as error:
        if typed:
            raise
        raise BadValue(_NO_CARD) from error
    pictured = places.card is None and not in_frame.has_card
    lab = None if card_lab is None else parse_lab(card_lab)
    done = measure_in(
        opened,
        places.swatches,
        in_frame.read(places.card, lab, paper=places.paper),
        library=library,
        camera_name=in_frame.camera_name,
        sitting=in_frame.sitting,
        pictured=pictured,
    )
    refused = [f"{name}: {why}" for name, why in done.shot.refused.items()]
    readings = {name: done.shot[name] for name in done.shot}
    said = (*places.notes, *((_PICTURED,) if pictured else ()))
    return SeveralInPhoto(readings, _on_record(library, readings), tuple(refused), said)


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
