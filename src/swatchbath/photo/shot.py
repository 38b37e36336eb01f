"""What was measured in one photo, and the same in the frame of a record."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from ..colorimetry.lab import Array
from ..colorimetry.measurement import Check, Measurement
from ..errors import NotFound, PhotoRefused
from .correction.own_frame import own_frame


@dataclass(frozen=True, eq=False)
class Shot:
    """What was measured in one photo: a mapping from a swatch's name to its Measurement.

    Attributes
    ----------
    measured : mapping of str to Measurement
        What it is a mapping of.
    refused : mapping of str to str
        Name -> why a swatch could not be read.
    checks : tuple of Check
        Of the card.
    photo : str
        SHA-256 of the file.
    camera : str or None
        As the file says.
    rung, notes : str, tuple of str
        How it was done.
    size : (int, int)
        Pixels, width and height.
    strands : mapping of str to (3,)
        Name -> CIELAB of the fibre where it lies flat in the light, shadows left out.
    uneven : mapping of str to float
        Name -> how uneven the dyeing is: standard deviation in CIEDE2000 over the place, beyond
        what its texture makes.
    beside : tuple of str
        Names of the swatches on record that the others were read by.
    changed : mapping of str to str
        Name -> what is wrong with one that was laid beside them and not gone by.
    """

    measured: Mapping[str, Measurement]
    refused: Mapping[str, str]
    checks: tuple[Check, ...]
    photo: str
    camera: str | None
    rung: str
    notes: tuple[str, ...]
    size: tuple[int, int]
    strands: Mapping[str, Array] = field(default_factory=dict)
    uneven: Mapping[str, float] = field(default_factory=dict)
    beside: tuple[str, ...] = ()
    changed: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, name: str) -> Measurement:
        if name in self.refused:
            raise PhotoRefused(self.refused[name])
        if name not in self.measured:
            names = ", ".join(self.measured) or "none"
            raise NotFound(f"No swatch {name} was measured in this photo; there are: {names}.")
        return self.measured[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.measured)

    def __len__(self) -> int:
        return len(self.measured)

    def __contains__(self, name: object) -> bool:
        return name in self.measured


def in_frame_of(shot: Shot, beside: Mapping[str, Measurement]) -> Shot:
    """A shot read by the swatches on record that lie in it. beside : as of `measure`.

    Raises PhotoRefused where none of them could be read.
    """
    own = own_frame(shot.measured, beside, shot.refused)
    return replace(
        shot,
        measured=own.readings,
        rung="beside" if own.beside else shot.rung,
        notes=(*shot.notes, *own.notes),
        beside=own.beside,
        changed=own.changed,
    )
