"""Which of her own swatches to lay beside a shade, and what that would give.

Nothing is photographed for it: what a photo of the shade and of swatches beside it would be off by
follows from where their colours lie, and what that leaves open is worked out as if they lay there.
What is told is how far the shade's colour may be off *from the record*: from how her library would
read a swatch of just that colour.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import give_or_take, joined_degrees
from ...colorimetry.difference import delta_e2000, local_metric
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement, cross_covariance
from .card import UNNAMED_CARD_LAB, UNNAMED_CARD_SD
from .corrections import DEGREES, OWN_SD, loadings_at
from .error_model import load_model, typical_error
from .illumination import per_brightness
from .origin import Sources
from .own_frame import OwnPiece, in_record_frame

# So many swatches nearest to the shade are looked at: farther ones told less in every trial.
_LOOKED_AT = 24
_BEST = 3


@dataclass(frozen=True)
class LaidBeside:
    """names : the swatches that would help most, the most helpful first. now, then : how far the
    shade may be off from the record without them and with them, in CIEDE2000, two in three."""

    names: tuple[str, ...]
    now: float
    then: float


def which_beside(
    target: Measurement, on_record: Mapping[str, Measurement], *, count: int = _BEST
) -> LaidBeside:
    """The recorded swatches that would help most if they lay beside a shade in one photo.

    target : as read in a photo, or a wish (a colour that no photo's errors are named of): then a
    photo of the shade by the record's camera and card is foreseen. on_record : name -> colour, one
    a swatch. They are added one by one, each time the one that leaves least open. names is empty
    where nothing is on record.
    """
    target = to_d65_2(target)
    labs = np.array([to_d65_2(m).lab for m in on_record.values()]).reshape(-1, 3)
    near = np.argsort(delta_e2000(labs, target.lab), kind="stable")[:_LOOKED_AT]
    names = [list(on_record)[i] for i in near]
    known = {name: to_d65_2(on_record[name]) for name in names}
    # Readings by another version of the errors' description tell nothing here.
    known = {name: m for name, m in known.items() if _agree(m, target)}
    if not known:
        return LaidBeside((), np.inf, np.inf)
    nearest = next(iter(known.values()))
    seen = _unlike(target) if _is_of_a_photo(target) else _foreseen(target, list(known.values()))
    recorded = moved_to(nearest, target.lab)
    pieces = {name: OwnPiece(_laid(seen, m), m) for name, m in known.items()}
    metric = local_metric(target.lab)
    chosen: dict[str, OwnPiece] = {}
    while len(chosen) < min(count, len(pieces)):
        left = {
            name: np.sum(metric * _of_difference(_beside(seen, chosen | {name: piece}), recorded))
            for name, piece in pieces.items()
            if name not in chosen
        }
        best = min(left, key=lambda name: left[name])
        chosen[best] = pieces[best]
    then = off_from_record(_beside(seen, chosen), nearest)
    return LaidBeside(tuple(chosen), off_from_record(target, nearest), then)


def off_from_record(reading: Measurement, nearest: Measurement) -> float:
    """How far a colour may be off from the record, in CIEDE2000: two true ones in three lie within.

    The difference of the reading from how the record would read a swatch of that very colour in the
    photo of the nearest one, with all that both errors share taken off.
    """
    reading = to_d65_2(reading)
    recorded = moved_to(to_d65_2(nearest), reading.lab)
    degrees = joined_degrees(
        reading.covariance, recorded.covariance, reading.degrees, recorded.degrees
    )
    return give_or_take(reading.lab, _of_difference(reading, recorded), degrees)


def _of_difference(a: Measurement, b: Measurement) -> Array:
    """(3, 3): covariance of the difference of two readings."""
    shared = cross_covariance(a, b)
    return a.covariance + b.covariance - shared - shared.T


def moved_to(reading: Measurement, lab: Array) -> Measurement:
    """What a reading would be off by if its colour were another, in the same photo: the loadings of
    its camera, photo and card at that colour, as much larger or smaller than usual as its own."""
    here, there = _usual(reading.lab), _usual(lab)
    shared = {}
    for name, loading in reading.shared.items():
        kind = name.partition(":")[0]
        if kind == "light":
            shared[name] = _light(reading.lab, lab, loading)
        elif kind in here and loading.shape == here[kind].shape:
            share = np.linalg.norm(loading) / np.linalg.norm(here[kind])
            shared[name] = there[kind] * share
        else:
            shared[name] = loading
    own = reading.trueness - _sum_of(reading.shared)
    return reading.replace(lab=lab, trueness=own + _sum_of(shared), shared=shared)


def _sum_of(shared: Mapping[str, Array]) -> Array:
    return sum((a @ a.T for a in shared.values()), np.zeros((3, 3)))


def _usual(lab: Array) -> dict[str, Array]:
    """Loadings of a colour in a picture with a grey card, by kind of source: (3, K)."""
    model, card = load_model("rendered"), UNNAMED_CARD_LAB
    # Where it lay after the base step: they are features of that.
    place = lab[None]
    for _ in range(3):
        place = lab[None] - typical_error(model, place, card)
    model = model.stated
    size = np.sqrt(DEGREES / (DEGREES - 2))
    usual = loadings_at(model, place, card, UNNAMED_CARD_SD, Sources("", "", ""))
    found = {name.rstrip(":"): loading[0] * size for name, loading in usual.items()}
    return found | {"sitting": found["photo"]}


def _light(old: Array, new: Array, loading: Array) -> Array:
    """A loading of brightness at the same place on another colour."""
    along = per_brightness(old)
    return np.outer(per_brightness(new), along @ loading / (along @ along))


def _agree(one: Measurement, two: Measurement) -> bool:
    both = one.shared.keys() & two.shared.keys()
    return all(one.shared[n].shape == two.shared[n].shape for n in both)


def _is_of_a_photo(reading: Measurement) -> bool:
    return any(name.startswith("photo:") for name in reading.shared)


def _unlike(reading: Measurement) -> Measurement:
    """The reading, what it was read beside already told apart from what is to lie beside it."""
    renamed = {f"was {n}" if n.startswith("beside:") else n: a for n, a in reading.shared.items()}
    return reading.replace(shared=renamed)


def _foreseen(wish: Measurement, known: list[Measurement]) -> Measurement:
    """A wished colour as a photo of it by the record's own camera and card would be read."""
    usual = _usual(wish.lab)
    named = {n: a.shape for m in known for n, a in m.shared.items()}
    of = {
        kind: next(
            (n for n in named if n.startswith(f"{kind}:") and named[n] == usual[kind].shape),
            f"{kind}:foreseen",
        )
        for kind in ("camera", "card")
    }
    shared = {of[kind]: usual[kind] for kind in of} | {"photo:foreseen": usual["photo"]}
    return Measurement(
        wish.lab,
        np.mean([m.repeatability for m in known], axis=0),
        trueness=_sum_of(shared) + OWN_SD**2 * np.eye(3),
        shared=shared,
        degrees=DEGREES,
        rung="card",
        photo="foreseen",
    )


def _laid(target: Measurement, piece: Measurement) -> Measurement:
    """A recorded piece as it would be read touching the target."""
    return moved_to(target, piece.lab).replace(covariance=piece.repeatability)


def _beside(target: Measurement, pieces: Mapping[str, OwnPiece]) -> Measurement:
    return in_record_frame({"": target}, pieces)[""]
