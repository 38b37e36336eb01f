"""Whether two colours match: swatches, colours, wishes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
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
from ..text.verdict_words import SHAPES, Done, tolerance_of, verdict_words
from .by_eye import eye_words, own_tolerance
from .compare_places import PairInPhoto, pair_in_photo, under_lamp, unevenness_words
from .lights import lights_hint, under_lights
from .lots import lot_named, lot_target, lots_apart
from .own_yarn import NO_YARN, OwnYarn, own_yarn_for


@dataclass(frozen=True)
class CompareAnswer:
    """Two colours side by side, with what they are called. words : sentences on the verdict, by
    key; first : said before it; lamp : the same pair by a second lamp; lamps : under lights, worked
    out from their spectra; save : how to keep what was read, or ""; eye : what her own judgements
    say; places : where both were read in a photo, as x, y, half; empty where they were not."""

    a: Target
    b: Target
    result: Comparison
    own_yarn: OwnYarn = NO_YARN
    words: Mapping[str, Any] = field(default_factory=dict)
    first: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    lamp: Mapping[str, Any] | None = None
    lamps: tuple[Mapping[str, Any], ...] = ()
    save: str = ""
    eye: str = ""
    own_tolerance: float | None = None
    places: tuple[tuple[float, float, float], ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        told: dict[str, Any] = {"a": self.a.as_dict(), "b": self.b.as_dict()}
        told |= {"first": list(self.first)}
        told |= {"pair_said": list(self.said), "lamp": self.lamp, "save": self.save}
        told |= {"lamps": list(self.lamps)}
        told |= {"eye": self.eye, "own_tolerance": self.own_tolerance, "shapes": SHAPES}
        told |= {"places": [list(place) for place in self.places]}
        return told | dict(self.words) | self.result.as_dict() | self.own_yarn.as_dict()


def compare(
    library: Library | None,
    a: str | Target,
    b: str | Target,
    *,
    tolerance: float | None = None,
    purpose: str | None = None,
    level: float = 0.9,
    formula: str = "ciede2000",
    eye: str | None = None,
    lamps: str | None = None,
) -> CompareAnswer:
    """Do two colours match? Each is a swatch's code or name, a lot ("lot 20"), or a colour; b is
    the standard.

    Swatches seen together in a photo are compared by that photo, where like errors cancel.
    tolerance : in the formula; or purpose : "garment", "customer", "family". eye : "match" or
    "apart", as she judges the pair herself, which is kept. lamps : "A,F11,LED-B3" or fewer, how
    two swatches with spectra on record compare under each.
    """
    close = tolerance_of(tolerance, purpose)
    one, two = _targets(library, a, b)
    if one.code and one.code == two.code:
        raise BadValue(f"Both are {one.called}; name another swatch or a colour to compare with.")
    first, second = one.value, two.value
    if library is not None and one.code and two.code and one.code != two.code:
        together = _same_photo(library.swatch(one.code), library.swatch(two.code))
        if together:
            first, second = together
            one = Target(first, first.lab, one.called, one.note, one.code, name=one.name)
            two = Target(second, second.lab, two.called, two.note, two.code, name=two.name)
    result = compare_colours(first, second, tolerance=close, level=level, formula=formula)
    wished = bool(one.note or two.note)
    if result.would_settle and wished:
        wish = "Compare with a swatch or a measured colour; a screen colour is too doubtful."
        result = replace(result, would_settle=wish)
    answer = CompareAnswer(one, two, result, _own_yarn(library, one, two))
    answer = _worded(answer, purpose, Done(wish=wished))
    answer = _by_eye(library, answer, eye)
    if lamps is None:
        return replace(answer, said=lights_hint(library, one, two))
    return replace(answer, lamps=under_lights(library, one, two, result, lamps))


def _targets(library: Library | None, a: str | Target, b: str | Target) -> tuple[Target, Target]:
    lots = [lot_named(t, library) if isinstance(t, str) else None for t in (a, b)]
    if library is not None and lots[0] and lots[1]:
        if lots[0] == lots[1]:
            raise BadValue(f"Both are lot {lots[0]}; name another lot or a colour to compare with.")
        return lots_apart(library, lots[0], lots[1])
    return _target(library, a), _target(library, b)


def _target(library: Library | None, named: str | Target) -> Target:
    if not isinstance(named, str):
        return named
    lot = lot_named(named, library)
    return parse_target(named, library) if library is None or not lot else lot_target(library, lot)


def _worded(answer: CompareAnswer, purpose: str | None, done: Done) -> CompareAnswer:
    names = [t.code or t.called for t in (answer.a, answer.b)]
    labs = (answer.a.lab, answer.b.lab)
    return replace(
        answer, words=verdict_words(answer.result, names[0], names[1], labs, purpose, done)
    )


def _by_eye(library: Library | None, answer: CompareAnswer, eye: str | None) -> CompareAnswer:
    """With what her own judgements say, this one kept where it is given."""
    if eye is not None:
        if eye not in ("match", "apart"):
            raise BadValue(f"'{eye}' is no judgement; say --eye match or --eye apart.")
        if library is None:
            raise BadValue("A judgement by eye is kept in a library, and there is none here.")
        names = tuple(t.code or t.called for t in (answer.a, answer.b))
        library.keep_judgement((names[0], names[1]), answer.result.delta_e2000, eye)
    if library is None:
        return answer
    judged = library.judgements
    return replace(answer, eye=eye_words(judged), own_tolerance=own_tolerance(judged))


def compare_in(
    folder: Path,
    a: str | None,
    b: str | None,
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: str | Sequence[str] | None = None,
    in_frame: InFrame = NOTHING_MORE,
    tolerance: float | None = None,
    purpose: str | None = None,
    level: float = 0.9,
    formula: str = "ciede2000",
    swapped: str | None = None,
    lamp: str | None = None,
    eye: str | None = None,
) -> CompareAnswer:
    """`compare`, with the library in `folder` if there is one: colours alone need none.

    photo : with it `a` alone is named, as the standard, and the colour at a place in the photo is
    compared with it: by that photo itself where the standard lies beside. Where nothing is named,
    the two places `at` are compared with each other. swapped, lamp : further photos of the two, as
    `pair_in_photo` takes them; without a photo lamp is as the lamps of `compare`.
    """
    ats = [] if at is None else [at] if isinstance(at, str) else list(at)
    how: dict[str, Any] = {"purpose": purpose, "level": level, "formula": formula}
    with ExitStack() as stack:
        library = stack.enter_context(Library(folder)) if is_library(folder) else None
        if photo is not None and a is None:
            close = tolerance_of(tolerance, purpose)
            if eye is not None:
                raise BadValue("--eye goes with two swatches, lots or colours that have a name.")
            pair = pair_in_photo(
                photo, ats, card=card, card_lab=card_lab, in_frame=in_frame, swapped=swapped,
                lamp=lamp,
            )  # fmt: skip
            return _places(pair, close, purpose, level, formula, photo)
        if swapped is not None or (photo is not None and lamp is not None):
            option = "--lamp" if swapped is None else "--swapped"
            raise BadValue(f"{option} goes with two places in a photo: --photo, and --at twice.")
        if photo is None:
            refuse_without_photo(card, card_lab, ats[0] if ats else None, in_frame)
            if a is None or b is None:
                raise BadValue(
                    "Name two colours to compare, one and a photo (--photo, --at), or two places "
                    "in a photo (--photo, and --at twice)."
                )
            return compare(library, a, b, tolerance=tolerance, eye=eye, lamps=lamp, **how)
        if b is not None or a is None:
            raise BadValue(
                "Two colours and a photo were named. With --photo name one, the standard; what the "
                "photo shows is compared with it."
            )
        if len(ats) > 1:
            raise BadValue(
                "A standard and two places were given. Leave the standard out to compare the two "
                "places with each other, or give one --at."
            )
        found = shade_in_photo(
            library, photo, card=card, card_lab=card_lab, at=ats[0] if ats else None,
            in_frame=in_frame,
        )  # fmt: skip
        standard = _target(library, a)
        together = _in_this_photo(found, standard)
        if together:
            done = compare(library, *together, tolerance=tolerance, eye=eye, **how)
            return replace(done, own_yarn=NO_YARN)
        return compare(library, found.target, standard, tolerance=tolerance, eye=eye, **how)


def _places(
    pair: PairInPhoto, close: float, purpose: str | None, level: float, formula: str, photo: str
) -> CompareAnswer:
    """Two places in a photo, beside each other."""
    result = compare_colours(
        pair.a.value, pair.b.value, tolerance=close, level=level, formula=formula
    )
    answer = CompareAnswer(
        pair.a, pair.b, result, first=unevenness_words(pair, result), said=pair.said,
        lamp=under_lamp(pair, result, level), places=pair.places,
        save=(
            f"Nothing was kept. To keep them, photograph them with a grey card and: swatchbath "
            f"measure {photo} --card x,y --swatch NAME=x,y, or record them with swatchbath record."
        ),
    )  # fmt: skip
    return _worded(answer, purpose, pair.done)


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
