"""Colours in the frame of a record: her own swatches lie beside what is read.

What a camera, a card and a light do to a colour they do to the swatches near it as well. Of those
the record knows how they read there; the difference tells this photo's errors *relative to the
record's*, and is taken out of what lies beside them. What comes out is off by the same error as
the record, so that a difference from it is sharp, however wrong both are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import square_root
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...errors import BadValue, PhotoRefused
from ..place.region import Region

# Most swatches that are laid beside: more crowd the frame and tell little.
MOST_BESIDE = 6
# Of one reading, per axis, what no smooth term sees and what a piece in use changes by: spectra
# that differ at one colour, handling, how it lies. With it 90 % regions of chart patches beside one
# to six others, between unlike phones, held 0.95 to 0.96.
_SCATTER_SD = 1.1
# The same where pieces are judged by one another: like colours side by side differ by 0.3 to 1 from
# what they truly do, under daylight and lamps (81 colours photographed by four phones).
_JUDGED_SD = 0.5
# A piece that lies farther from what the others say than this has changed; squared, in units of the
# covariance, of a Student's t of 6 degrees: towards undyed fibre, as dyes fade and fibre felts, the
# 95 % point of that one direction (what is stated beside is on the wide side: with the 97.5 % one
# no sound piece of 63 drawn ones was named, and one faded by 6 in 0.57); otherwise the 99 % region
# (`region_radius`).
_FADED, _CHANGED = 2.52, 19.56
# A piece that is farther from its colour on record than this (CIEDE2000), and outside the 99 %
# region, is another one or lies elsewhere, whatever the others tell: of one chart patch in two
# photos, by whatever cameras in whatever lights, 1 in 1000 pairs is (10,777 pairs of rendered
# photos in tests/reference, 640 x 480 apart, read by the card; 99 in 100 are within 16).
_UNLIKE = 22.0
# Undyed fibre, towards which colours fade: about wool. Common practice, no source.
_UNDYED = np.array([86.0, 0.0, 10.0])


@dataclass(frozen=True, eq=False)
class OwnPiece:
    """A swatch on record that lies in the photo: as read here, and as on record."""

    here: Measurement
    on_record: Measurement

    @property
    def moved(self) -> Array:
        """(3,): how it reads on record less how it reads here."""
        return np.asarray(self.on_record.lab - self.here.lab)


@dataclass(frozen=True, eq=False)
class OwnFrame:
    """Readings of one photo, those of the record's swatches apart, in the record's frame.

    beside : the swatches on record that they were read by; none where none of them looks as on
    record: then the readings are as they were. changed : name -> sentence, of those that do not
    look as on record. notes : what to know of it.
    """

    readings: dict[str, Measurement]
    beside: tuple[str, ...]
    changed: Mapping[str, str]
    notes: tuple[str, ...]


def check_beside(beside: Mapping[str, Measurement], swatches: Mapping[str, object]) -> None:
    """Raises BadValue unless these are colours on record of one to six of the swatches."""
    if not isinstance(beside, Mapping) or not all(
        isinstance(m, Measurement) for m in beside.values()
    ):
        raise BadValue(
            "Swatches that lie beside go by name with their colour on record, as {'07': "
            "Measurement}; give such a dict."
        )
    for name in beside:
        if name not in swatches:
            raise BadValue(
                f"The swatch {name} is said to lie beside, and not where. Give its place too."
            )
    if len(beside) > MOST_BESIDE:
        raise BadValue(
            f"{len(beside)} swatches are said to lie beside; at most {MOST_BESIDE} help. Leave "
            "out those that are least like the shade."
        )
    if beside and len(beside) == len(swatches):
        raise BadValue(
            "All swatches of this photo are said to be on record, so there is none to be read "
            "beside them. Name the place of the new one too, or leave them out."
        )


def own_frame(
    readings: Mapping[str, Measurement],
    beside: Mapping[str, Measurement],
    refused: Mapping[str, str],
) -> OwnFrame:
    """The readings of one photo by the swatches on record that lie among them.

    beside : name -> its colour on record, one at least; what could not be read here is passed
    over, and said so. Raises PhotoRefused where none of those named could be read.
    """
    pieces = {n: OwnPiece(readings[n], to_d65_2(m)) for n, m in beside.items() if n in readings}
    if not pieces:
        raise PhotoRefused(
            f"None of the swatches on record could be read in this photo: "
            f"{' '.join(refused[n] for n in beside)}"
        )
    unlike = unlike_pieces(pieces)
    out = changed_pieces({n: p for n, p in pieces.items() if n not in unlike})
    used = {n: p for n, p in pieces.items() if n not in {*unlike, *out}}
    changed = {n: _how_unlike(n, pieces[n]) for n in unlike}
    changed |= {n: _how_changed(n, pieces[n], used) for n in out}
    notes = [*changed.values()]
    if not used:
        notes.append("so the colours were read without any of your own beside them")
    if len(beside) > len(pieces):
        unread = [n for n in beside if n not in pieces]
        went = f"; I went by {_listed(used)}" if used else ""
        notes.append(f"{_listed(unread)} could not be read here{went}")
    if len(used) == 1 and not out:
        notes.append(
            f"only {next(iter(used))} lies beside, so nothing checks that it still looks as on "
            "record; lay a second one there"
        )
    rest = {n: m for n, m in readings.items() if n not in pieces}
    placed = in_record_frame(rest, used)
    return OwnFrame(
        {n: placed.get(n, m) for n, m in readings.items()}, tuple(used), changed, tuple(notes)
    )


def _how_unlike(name: str, piece: OwnPiece) -> str:
    return (
        f"what lies where {name} was said to lie is {_apart(piece):.0f} (CIEDE2000) from its "
        f"colour on record, more than a photo can be off by, so I did not go by {name}; see "
        "whether its code and its place are right"
    )


def _how_changed(name: str, piece: OwnPiece, used: Mapping[str, OwnPiece]) -> str:
    """What a piece looks like today beside what is on record."""
    # What the photo itself does to such a colour is told by the others.
    placed = in_record_frame({name: piece.here}, used)[name]
    lighter = placed.lab[0] - piece.on_record.lab[0]
    chroma = np.hypot(*placed.lab[1:]) - np.hypot(*piece.on_record.lab[1:])
    if abs(lighter) >= abs(chroma):
        word = "paler" if lighter > 0 else "darker"
    else:
        word = "brighter" if chroma > 0 else "duller"
    return f"{name} looks {word} today than on record; I went by {_listed(used)}"


def _listed(names: Iterable[str]) -> str:
    *rest, last = names
    return f"{', '.join(rest)} and {last}" if rest else last


def in_record_frame(
    readings: Mapping[str, Measurement], pieces: Mapping[str, OwnPiece]
) -> dict[str, Measurement]:
    """The readings of one photo as the record would read them, given pieces of it beside them.

    The best linear unbiased estimate of the photo's error relative to the record's, by the sources
    that the readings name, which are features of the colour: near pieces count more. The result's
    sources are the photo's, less what the pieces told, and the record's, as far as each piece
    counts; so that `cross_covariance` with any reading on record takes off what both have.
    """
    if not pieces:
        return dict(readings)
    known = list(pieces.values())
    noise = _noise(known)
    among = _between(known, [p.here for p in known]) + noise @ noise.T
    moved = np.concatenate([p.moved for p in known])
    return {name: _placed(m, known, among, noise, moved) for name, m in readings.items()}


def unlike_pieces(pieces: Mapping[str, OwnPiece]) -> list[str]:
    """Names of pieces that cannot be what they were said to be: no camera, light or card makes such
    a difference from the record."""
    return [
        name
        for name, piece in pieces.items()
        if _apart(piece) > _UNLIKE and _distance(piece) > _CHANGED
    ]


def _apart(piece: OwnPiece) -> float:
    return float(delta_e2000(piece.here.lab, piece.on_record.lab))


def _distance(piece: OwnPiece) -> float:
    """How far a piece lies from its colour on record, squared, in units of the covariance."""
    relative = _relative(piece)
    noise = _noise([piece])
    covariance = _shared_part(relative, relative) + noise @ noise.T
    return float(piece.moved @ np.linalg.solve(covariance, piece.moved))


def check_apart(places: Mapping[str, Region], beside: Iterable[str]) -> None:
    """Raises BadValue where a swatch that lies beside has the place of another. places : of all."""
    centres = {n: (np.array([[r.x]]), np.array([[r.y]])) for n, r in places.items()}
    for name in beside:
        for other, region in places.items():
            if other == name or not region.covers(*centres[name]).any():
                continue
            if places[name].covers(*centres[other]).any():
                raise BadValue(
                    f"{name} and {other} are marked at one place; each needs a place of its own."
                )


def changed_pieces(pieces: Mapping[str, OwnPiece]) -> list[str]:
    """Names of pieces that no longer are what the record says, by what the others tell.

    The piece that fits worst is left out, and the others are judged anew. One alone cannot be
    judged, and of two that disagree it is the one that is paler than on record.
    """
    left = dict(pieces)
    out: list[str] = []
    while len(left) > 1:
        off = {name: _disagreement(name, left) for name in left}
        name = max(off, key=lambda n: off[n])
        if off[name] <= 1:
            break
        if len(left) == 2:
            name = max(left, key=lambda n: -left[n].moved[0])
        out.append(name)
        del left[name]
    return out


def _disagreement(name: str, pieces: Mapping[str, OwnPiece]) -> float:
    """How far a piece lies from what the others say of it: squared, over how far it may."""
    names = [name, *(n for n in pieces if n != name)]
    known = [pieces[n] for n in names]
    noise = _noise(known, _JUDGED_SD)
    # What the record itself is off by differs from piece to piece as well, if they were read in
    # several photos.
    relative = [_relative(p) for p in known]
    among = np.block([[_shared_part(a, b) for b in relative] for a in relative])
    among = among + noise @ noise.T
    moved = np.concatenate([p.moved for p in known])
    weights = np.linalg.solve(among[3:, 3:], among[3:, :3])
    off = moved[:3] - weights.T @ moved[3:]
    left = among[:3, :3] - among[:3, 3:] @ weights
    fading = _UNDYED - pieces[name].on_record.lab
    along = np.linalg.solve(left, fading)
    # The record less what is seen: a piece that faded lies on the other side.
    faded = max(float(-off @ along), 0.0) ** 2 / float(fading @ along)
    return max(faded / _FADED, float(off @ np.linalg.solve(left, off)) / _CHANGED)


def _between(pieces: Sequence[OwnPiece], readings: Sequence[Measurement]) -> Array:
    """(3k, 3n): what the errors of the pieces, as read here, share with those of readings."""
    return np.block([[_common(p.here, m) for m in readings] for p in pieces])


def _relative(piece: OwnPiece) -> dict[str, Array]:
    """Loadings of the error here less that on record, by source."""
    out = dict(piece.here.shared)
    for name, loading in piece.on_record.shared.items():
        out[name] = out[name] - loading if name in out else -loading
    return out


def _common(a: Measurement, b: Measurement) -> Array:
    return _shared_part(a.shared, b.shared)


def _shared_part(a: Mapping[str, Array], b: Mapping[str, Array]) -> Array:
    return sum((a[n] @ b[n].T for n in a.keys() & b.keys()), np.zeros((3, 3)))


def _noise(pieces: Sequence[OwnPiece], scatter_sd: float = _SCATTER_SD) -> Array:
    """(3k, 3k): root of the covariance of what each piece is moved by alone."""
    root = np.zeros((3 * len(pieces), 3 * len(pieces)))
    for i, piece in enumerate(pieces):
        at = slice(3 * i, 3 * i + 3)
        alone = piece.here.repeatability + piece.on_record.repeatability
        root[at, at] = square_root(alone + scatter_sd**2 * np.eye(3))
    return root


def _placed(
    m: Measurement,
    known: Sequence[OwnPiece],
    among: Array,
    noise: Array,
    moved: Array,
) -> Measurement:
    """One reading in the record's frame. among (3k, 3k) : covariance of what moves the pieces,
    noise (3k, 3k) : the root of what moves each alone; moved (3k,). Each piece is a source of its
    own, so that readings of one photo beside some of the same pieces share what those are off by.
    """
    weights = np.linalg.solve(among, _between(known, [m]))
    shared = {name: np.array(loading) for name, loading in m.shared.items()}

    def add(name: str, loading: Array) -> None:
        shared[name] = shared[name] + loading if name in shared else loading

    for i, piece in enumerate(known):
        at = slice(3 * i, 3 * i + 3)
        w = weights[at].T
        # What the piece alone was off by; known by its colour on record, whatever it is called.
        called = ",".join(f"{v:.0f}" for v in piece.on_record.lab)
        add(f"beside:{m.photo}: {called}", w @ noise[at, at])
        for name, loading in piece.here.shared.items():
            add(name, -w @ loading)
        for name, loading in piece.on_record.shared.items():
            add(name, w @ loading)
    own = m.trueness - sum((a @ a.T for a in m.shared.values()), np.zeros((3, 3)))
    trueness = own + sum((a @ a.T for a in shared.values()), np.zeros((3, 3)))
    return m.replace(lab=m.lab + weights.T @ moved, trueness=trueness, shared=shared, rung="beside")
