"""Whether two colours match: swatches, colours, wishes."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ...colorimetry.measurement import Measurement
from ...errors import BadValue
from ...library import Library, Swatch, is_library
from ...match import Comparison
from ...match import compare as compare_colours
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.shade import PhotoShade, refuse_without_photo, shade_in_photo
from ..text.parse import Target, parse_target
from .own_yarn import NO_YARN, OwnYarn, own_yarn_for


@dataclass(frozen=True)
class CompareAnswer:
    """Two colours side by side, with what they are called."""

    a: Target
    b: Target
    result: Comparison
    own_yarn: OwnYarn = NO_YARN

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "a": self.a.as_dict(),
            "b": self.b.as_dict(),
        } | (self.result.as_dict() | self.own_yarn.as_dict())


def compare(
    library: Library | None,
    a: str | Target,
    b: str | Target,
    *,
    tolerance: float = 2.0,
    level: float = 0.9,
) -> CompareAnswer:
    """Do two colours match? Each is a swatch's code or name, or a colour; b is the standard.

    Swatches seen together in a photo are compared by that photo, where like errors cancel.
    """
    one, two = (parse_target(t, library) if isinstance(t, str) else t for t in (a, b))
    if one.code and one.code == two.code:
        raise BadValue(f"Both are {one.called}; name another swatch or a colour to compare with.")
    first, second = one.value, two.value
    if library is not None and one.code and two.code and one.code != two.code:
        together = _same_photo(library.swatch(one.code), library.swatch(two.code))
        if together:
            first, second = together
            one = Target(first, first.lab, one.called, one.note, one.code, name=one.name)
            two = Target(second, second.lab, two.called, two.note, two.code, name=two.name)
    result = compare_colours(first, second, tolerance=tolerance, level=level)
    if result.would_settle and (one.note or two.note):
        wish = "Compare with a swatch or a measured colour; a screen colour is too doubtful."
        result = replace(result, would_settle=wish)
    return CompareAnswer(one, two, result, _own_yarn(library, one, two))


def compare_in(
    folder: Path,
    a: str,
    b: str | None,
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: str | None = None,
    in_frame: InFrame = NOTHING_MORE,
    tolerance: float = 2.0,
    level: float = 0.9,
) -> CompareAnswer:
    """`compare`, with the library in `folder` if there is one: colours alone need none.

    photo : with it `a` alone is named, as the standard, and the colour at a place in the photo is
    compared with it: by that photo itself where the standard lies beside.
    """
    with ExitStack() as stack:
        library = stack.enter_context(Library(folder)) if is_library(folder) else None
        if photo is None:
            refuse_without_photo(card, card_lab, at, in_frame)
            if b is None:
                raise BadValue("Name two colours to compare, or one and a photo: --photo, --at.")
            return compare(library, a, b, tolerance=tolerance, level=level)
        if b is not None:
            raise BadValue(
                "Two colours and a photo were named. With --photo name one, the standard; what the "
                "photo shows is compared with it."
            )
        found = shade_in_photo(
            library, photo, card=card, card_lab=card_lab, at=at, in_frame=in_frame
        )
        standard = parse_target(a, library)
        together = _in_this_photo(found, standard)
        if together:
            done = compare(library, *together, tolerance=tolerance, level=level)
            return replace(done, own_yarn=NO_YARN)
        return compare(library, found.target, standard, tolerance=tolerance, level=level)


def _in_this_photo(shade: PhotoShade, standard: Target) -> tuple[Target, Target] | None:
    """A shade and the standard, which lies beside it and still looks as on record, both as the
    photo shows them without the record: that is sharper. None where it lies elsewhere."""
    done = shade.measured
    if done is None:
        return None
    names = [n for n in done.shot.beside if done.own[n].code == standard.code]
    if not names:
        return None
    (place,) = done.places
    here, there = done.alone[place], done.alone[names[0]]
    said = tuple(s for s in shade.target.said if s not in done.beside)
    return (
        replace(shade.target, value=here, lab=here.lab, said=said),
        replace(standard, value=there, lab=there.lab),
    )


def _own_yarn(library: Library | None, one: Target, two: Target) -> OwnYarn:
    """What to lay beside the one that is no swatch on record; nothing between two typed colours."""
    known = [t.code is not None or isinstance(t.value, Measurement) for t in (one, two)]
    if not any(known):
        return NO_YARN
    return own_yarn_for(library, one if one.code is None else two)


def _same_photo(one: Swatch, two: Swatch) -> Any:
    """The latest dry readings of both in one photo, or None."""
    by_photo = {m.photo: m for state, _, m in one.measurements if state != "wet" and m.photo}
    for state, _, reading in reversed(two.measurements):
        if state != "wet" and reading.photo in by_photo:
            return by_photo[reading.photo], reading
    return None
