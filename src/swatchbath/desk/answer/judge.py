"""A new lot judged by a kept piece, and what it makes of the history of the shade."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words
from ...errors import BadValue
from ...library import KeptPiece, Library, Swatch
from ...match import Comparison
from ...match import compare as compare_colours
from ..text.shown import colour_as_dict
from ..text.wording import chance_words, screen
from .lots import of_one_lot, side_by_side
from .piece import piece_as_dict
from .shade_history import ShadeHistory, shade_history
from .spread import SpreadAnswer, spread

# A match less likely than this is said to be none, probably. Our own choice.
_PROBABLY = 0.2


@dataclass(frozen=True, eq=False)
class JudgeAnswer:
    """A lot beside a kept piece. lot, kept : as they were read. result : the two compared, lot
    first, at how close it must be. history : of the shade, this lot in it. normal : how much lots
    usually differ."""

    piece: KeptPiece
    called: str
    swatches: tuple[Swatch, ...]
    lot: Measurement
    kept: Measurement
    result: Comparison
    history: ShadeHistory
    normal: SpreadAnswer

    @property
    def in_one_photo(self) -> bool:
        """Whether both were read in one photo."""
        return self.result.same_photo

    @property
    def first(self) -> str:
        """What to do before anything is believed; "" where it was done."""
        if self.in_one_photo:
            return ""
        if not self.piece.codes:
            return (
                f"The kept piece {self.piece.name} is a typed colour, so there is no yarn to lay "
                f"beside {self.called}."
            )
        lies = f", which lies: {self.piece.lies}" if self.piece.lies else ""
        codes = " and ".join(s.code for s in self.swatches[:1])
        return (
            f"First lay {self.called} beside the kept piece{lies}, and photograph both in one "
            f"frame (swatchbath photos, with {self.piece.codes[0]} and {codes} in it). Then judge "
            "again: most of what a photo gets wrong is wrong with both alike. Until then two "
            "photos are compared, at the doubt that costs:"
        )

    @property
    def verdict_words(self) -> str:
        """The verdict as she acts on it."""
        result, within = self.result, f"{self.piece.within:g}"
        how = "in one photo" if self.in_one_photo else "these photos"
        if result.verdict == "match":
            seen = " No difference to be seen." if result.interval[1] < 1 else ""
            return f"It matches the kept piece: any difference is under {within}.{seen}"
        if result.verdict == "no match":
            return f"It differs from the kept piece: {self.called} is {result.words}."
        hidden = np.ceil(result.interval[1] * 10) / 10
        chance = chance_words(result.chance_within)
        if result.interval[0] == 0 and result.chance_within >= 0.5:
            return (
                f"Cannot tell yet. It may well match: {chance} that the difference is under "
                f"{within}; but {how} could hide one of up to {hidden:.1f}."
            )
        leans = "Probably different" if result.chance_within < _PROBABLY else "Cannot tell yet"
        return (
            f"{leans}: it looks {result.words}; {chance} that the difference is under {within} all "
            "the same."
        )

    @property
    def tight(self) -> str:
        """That she asks for more than her lots usually give, or ""."""
        return self.normal.tight_words(self.piece.within)

    @property
    def spread_words(self) -> str:
        """Where the usual spread of lots is from."""
        apart = f"{self.normal.lots_apart:.1f}"
        if self.normal.is_hers:
            return f"Two lots of one recipe usually lie {apart} apart, from your own repeats."
        return (
            f"How far your lots usually lie apart is hardly known yet; {apart} is taken, mostly "
            "from made-up dye houses. Dye a few recipes twice, and it is yours (swatchbath spread)."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        facts = {"called": self.called, "codes": [s.code for s in self.swatches]}
        facts |= colour_as_dict(self.lot) | {"words": colour_words(self.lot.lab)}
        return {
            "kept": piece_as_dict(self.piece),
            "lot": facts | screen(self.lot.lab),
            "first": self.first,
            "verdict_words": self.verdict_words,
            "history": self.history.as_dict(),
            "tight": self.tight,
            "spread_words": self.spread_words,
        } | {k: v for k, v in self.result.as_dict().items() if k != "would_settle"}


def judge(library: Library, name: str, what: str) -> JudgeAnswer:
    """Judge a lot (a swatch by code or name, or a lot) by the kept piece called `name`, and put it
    into the history of the shade.

    By the photo that shows both, if there is one; else by two photos. Raises NotFound, BadValue.
    """
    piece = library.kept_piece(name)
    swatches = of_one_lot(library, what)
    codes = [s.code for s in swatches]
    if set(codes) & set(piece.codes):
        raise BadValue(f"{what} is the kept piece {piece.name} itself; name a later lot.")
    on_record = set(library.codes())
    kept = [s for s in library.swatches([c for c in piece.codes if c in on_record]) if s.measured]
    lot, standard, _ = side_by_side(swatches, kept, piece.colour)
    result = compare_colours(lot, standard, tolerance=piece.within)
    new = [c for c in codes if c not in piece.judged]
    if new:
        piece = library.change_kept_piece(piece.name, judged=[*piece.judged, *new])
    normal = spread(library)
    one = swatches[0]
    called = (one.name or one.code) if len(swatches) == 1 else f"lot {one.lot}"
    return JudgeAnswer(
        piece, called, tuple(swatches), lot, standard, result,
        shade_history(library, piece, normal), normal,
    )  # fmt: skip
