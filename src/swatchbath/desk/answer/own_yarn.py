"""Which of her own swatches to lay beside a shade that was asked about, and what that gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.measurement import Measurement
from ...library import Library, Swatch
from ...photo.correction.which_beside import which_beside
from ..photo.own_pieces import as_piece
from ..text.parse import Target

_COUNTS = {1: "this one", 2: "these two", 3: "these three"}
# So many nearest swatches are looked at; see `which_beside`.
_NEAR = 24


@dataclass(frozen=True)
class OwnYarn:
    """Swatches to lay beside a shade, the most helpful first; none where it would not help.

    now, then : how far the shade's colour may be off from the record (CIEDE2000, two in three), as
    it was asked and with them beside it. by_card : whether it was read in a photo by the card.
    """

    pieces: tuple[Swatch, ...] = ()
    now: float = 0.0
    then: float = 0.0
    by_card: bool = False

    @property
    def words(self) -> str:
        """What to do with them, and what it gives; "" where there are none."""
        if not self.pieces:
            return ""
        one = len(self.pieces) == 1
        before = "with the card alone" if self.by_card else "as it was asked"
        return (
            f"Lay {_COUNTS[len(self.pieces)]} of your own touching the piece, dry, on plain paper "
            "by the grey card, and take one photo. Your camera misjudges like colours alike, so "
            f"the difference from your own yarn stays true. {'It' if one else 'They'} need not "
            f"match. That gives it give or take {self.then:.0f} ({before} {self.now:.0f})."
        )

    @property
    def short(self) -> str:
        """The same in one sentence that names them; "" where there are none."""
        if not self.pieces:
            return ""
        *some, last = [s.code for s in self.pieces]
        codes = f"{', '.join(some)} and {last}" if some else last
        before = "with the card alone" if self.by_card else "as it was asked"
        return (
            f"Lay {codes} touching the piece, dry, by the grey card, and take one photo: that "
            f"gives it give or take {self.then:.0f} ({before} {self.now:.0f})."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "lay_beside": [as_piece(s) for s in self.pieces],
            "lay_beside_words": self.words,
            "lay_beside_short": self.short,
            "give_or_take_now": self.now if self.pieces else None,
            "give_or_take_beside": self.then if self.pieces else None,
        }


NO_YARN = OwnYarn()


def own_yarn_for(library: Library | None, target: Target | None) -> OwnYarn:
    """The three swatches on record that would help most if they lay beside a shade.

    None for a swatch on record or an instrument's reading, where three lie beside it already, or
    where the give-or-take would not come down by a whole number.
    """
    if library is None or target is None or target.code is not None or len(target.beside) >= 3:
        return NO_YARN
    value = target.value
    if isinstance(value, Measurement):
        if not target.note and value.photo is None:
            return NO_YARN
        shade = value
    else:
        shade = Measurement(value, np.zeros((3, 3)))
    near = {s.code: s for s, _ in library.find(lab=target.lab, k=_NEAR)}
    known = {code: s.measured for code, s in near.items() if s.measured is not None}
    if not known:
        return NO_YARN
    told = which_beside(shade, known)
    if round(told.now) <= round(told.then):
        return NO_YARN
    by_card = shade.rung == "card"
    return OwnYarn(tuple(near[code] for code in told.names), told.now, told.then, by_card)
