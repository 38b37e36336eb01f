"""Questions to the library: predict, compare, find, show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pandas as pd

from ...bath.cautions import cautions_for
from ...bath.diary import line_of
from ...colorimetry.covariance import give_or_take
from ...colorimetry.words import colour_words
from ...errors import BadValue
from ...library import Library, Swatch, write_table
from ...match import Comparison
from ...match import compare as compare_colours
from ...predict import Prediction
from ..entry.waiting import states_of
from ..photo.measure import measured_as_dict
from ..text.parse import Target, check_bath, parse_bath, parse_target
from ..text.wording import bath_words, plain, records, screen
from .learn import Learnt
from .named_delivery import Named, learn_for

# What somebody who tells of a bath leaves out because there was none of it.
_NOT_NAMED = {"tannin": "none", "assist": "none", "modifier": "none"}


@dataclass(frozen=True)
class Precedent:
    """A real swatch near a colour: how near, which way it differs, how its bath differs."""

    swatch: Swatch
    delta_e2000: float | None
    words: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        measured = self.swatch.measured
        shown = {"screen": None, "duller_on_screen": None}
        if measured is not None:
            shown = screen(measured.lab)
        return {
            "code": self.swatch.code,
            "name": self.swatch.name,
            "lab": None if measured is None else measured.lab.tolist(),
            "delta_e2000": self.delta_e2000,
            "words": self.words,
            "conditions": plain(self.swatch.conditions),
            "bath": " ".join(bath_words(self.swatch.conditions, brief=True)),
        } | shown


def called(target: Target) -> dict[str, Any]:
    """A colour asked for, as plain values."""
    return {"called": target.called, "lab": target.lab.tolist()} | screen(target.lab)


@dataclass(frozen=True)
class Foreseen:
    """The colour a bath is expected to give."""

    bath: dict[str, Any]
    prediction: Prediction
    cautions: tuple[str, ...]
    learnt: Learnt
    deliveries: tuple[Named, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        lab = self.prediction.lab[0]
        return {
            "bath": self.bath,
            "lab": lab.tolist(),
            "words": colour_words(lab),
            "covariance": self.prediction.covariance[0].tolist(),
            "pot_covariance": self.prediction.pot_covariance[0].tolist(),
            "unsure": bool(self.prediction.unsure[0]),
            "outside": bool(self.prediction.outside[0]),
            "reasons": list(self.prediction.reasons[0]),
            "assumed": list(self.prediction.notes[0]),
            "cautions": list(self.cautions),
            "give_or_take": give_or_take(lab, self.prediction.pot_covariance[0]),
            "deliveries": [d.as_dict() for d in self.deliveries],
            "left_out": self.learnt.model.left_out_.as_dict(),
            "trust": self.learnt.trust,
            "meta": self.learnt.model.meta_,
        } | screen(lab)


def predict(library: Library, bath: Iterable[str]) -> Foreseen:
    """The colour of one bath, typed as column=value.

    A tannin, addition or after-bath that is not named counts as none; all else as not known. Where
    it names a delivery that was only checked, the answer is corrected for it.
    """
    row = check_bath(_NOT_NAMED | parse_bath(bath)).table
    conditions = plain(records(row)[0])
    taught = learn_for(library, conditions)
    return Foreseen(
        conditions,
        taught.learnt.model.predict(row),
        tuple(c.sentence for c in cautions_for(conditions)),
        taught.learnt,
        taught.deliveries,
    )


@dataclass(frozen=True)
class Compared:
    """Two colours side by side, with what they are called."""

    a: Target
    b: Target
    result: Comparison

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "a": called(self.a),
            "b": called(self.b),
        } | self.result.as_dict()


def compare(
    library: Library | None, a: str, b: str, *, tolerance: float = 2.0, level: float = 0.9
) -> Compared:
    """Do two colours match? Each is a swatch's code or name, or a colour; b is the standard.

    Swatches seen together in a photo are compared by that photo, where like errors cancel.
    """
    one, two = parse_target(a, library), parse_target(b, library)
    if one.code and one.code == two.code:
        raise BadValue(f"Both are {one.called}; name another swatch or a colour to compare with.")
    first, second = one.value, two.value
    if library is not None and one.code and two.code and one.code != two.code:
        together = _same_photo(library.swatch(one.code), library.swatch(two.code))
        if together:
            first, second = together
            one = Target(first, first.lab, one.called, one.note, one.code)
            two = Target(second, second.lab, two.called, two.note, two.code)
    result = compare_colours(first, second, tolerance=tolerance, level=level)
    if result.would_settle and (one.note or two.note):
        wish = "Compare with a swatch or a measured colour; a screen colour is too doubtful."
        result = replace(result, would_settle=wish)
    return Compared(one, two, result)


def compare_in(
    folder: Path, a: str, b: str, *, tolerance: float = 2.0, level: float = 0.9
) -> Compared:
    """`compare`, with the library in `folder` if there is one: colours alone need none."""
    if not (folder / "library.sqlite").is_file():
        return compare(None, a, b, tolerance=tolerance, level=level)
    with Library(folder) as library:
        return compare(library, a, b, tolerance=tolerance, level=level)


def _same_photo(one: Swatch, two: Swatch) -> Any:
    """The latest dry readings of both in one photo, or None."""
    by_photo = {m.photo: m for state, _, m in one.measurements if state != "wet" and m.photo}
    for state, _, reading in reversed(two.measurements):
        if state != "wet" and reading.photo in by_photo:
            return by_photo[reading.photo], reading
    return None


def find(
    library: Library, *, colour: str | None = None, text: str | None = None, k: int = 10
) -> tuple[Precedent, ...]:
    """Swatches nearest to a colour (or to a swatch), or that hold all words of a text."""
    lab = None
    own = None
    if colour is not None:
        target = parse_target(colour, library)
        lab, own = target.lab, target.code
    found = library.find(lab=lab, text=text, k=k + 1)
    rows = [Precedent(s, f.delta_e2000, f.words) for s, f in found if s.code != own]
    return tuple(rows[:k])


def write_found(found: Iterable[Precedent], path: str | Path) -> None:
    """Write swatches as a CSV: code, name, lot, dye day, colour, and the condition columns."""
    rows = []
    for swatch in (p.swatch for p in found):
        row: dict[str, Any] = {
            "code": swatch.code,
            "name": swatch.name,
            "lot": swatch.lot,
            "session": swatch.session,
        }
        if swatch.measured is not None:
            row |= dict(zip(("L", "a", "b"), swatch.measured.lab.round(2), strict=True))
            row["rung"] = swatch.measured.rung
        rows.append(row | plain(swatch.conditions))
    write_table(pd.DataFrame(rows), path)


def show(library: Library, key: str) -> dict[str, Any]:
    """Everything on record about one swatch, as plain values for JSON."""
    swatch = library.swatch(key)
    return {
        "code": swatch.code,
        "name": swatch.name,
        "lot": swatch.lot,
        "part": swatch.part,
        "session": swatch.session,
        "conditions": plain(swatch.conditions),
        "bath": bath_words(swatch.conditions),
        "measurements": [
            {"state": state, "photo": photo, "days": days} | measured_as_dict(swatch.code, reading)
            for (state, photo, reading), days in zip(swatch.measurements, swatch.days, strict=True)
        ],
        "steps": [line_of(step) for step in swatch.steps],
        "as_told": [line_of(step) for step in swatch.steps if step.typed or step.note],
        "typed": dict(swatch.typed),
        "photos": [{"photo": name, "shows": what} for name, what in swatch.shown],
        "waits": list(states_of(swatch)),
        "history": library.history(swatch.code),
        "cautions": [c.sentence for c in cautions_for(plain(swatch.conditions))],
    }
