"""A bath over yarn that is dyed already: it can be darkened and saddened, never lightened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ...colorimetry.lab import Array
from ...colorimetry.words import colour_words
from ...predict.search.overdye import best_layers, diluted
from .dyeings import Dyeing, cautions_of, expectation, nearest_first, of_layers

# How much lighter than the yarn (L*) a shade may be and still count as no lighter: what two
# readings of one yarn differ by. Our own choice.
_LIGHTER = 2.0
# How much of the dye of her own swatch is tried over the yarn, and the words for it.
_SHARES = ((1.0, "as {}"), (0.5, "half the {dye} of {}"), (0.25, "a quarter of the {dye} of {}"))
# How many are told, and beyond what distance (CIEDE2000) only the nearest: another colour. Our own
# choice.
_TOLD, _FAR = 3, 10.0


@dataclass(frozen=True)
class OntoAnswer:
    """Baths over dyed yarn. code, name : of the yarn. refused : why none can help, else "". ideas :
    as `expectation` tells them, with cautions."""

    code: str
    refused: str
    ideas: tuple[dict[str, Any], ...] = ()
    name: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "code": self.code,
            "name": self.name,
            "refused": self.refused,
            "ideas": list(self.ideas),
        }


def onto(dyeings: Sequence[Dyeing], code: str, yarn: Array, lab: Array) -> OntoAnswer:
    """What to dye over a yarn of Lab (3,), on record as `code`, for a wanted Lab (3,)."""
    if lab[0] > yarn[0] + _LIGHTER:
        return OntoAnswer(
            code,
            f"Your shade is lighter than {code} ({colour_words(yarn)}), and yarn that is dyed can "
            "be darkened and saddened, not lightened: begin with undyed yarn.",
        )
    overs = nearest_first([d for d in dyeings if d.code != code], lab)
    tried = [(d, *how) for d in overs for how in (_SHARES[:1] if d.in_vat else _SHARES)]
    shades = [diluted(d.lab, share, d.base) for d, share, _ in tried]
    told: dict[str, dict[str, Any]] = {}
    base = overs[0].base if overs else yarn
    for _, j, shade, away in best_layers([yarn], shades, lab, base, k=len(tried)):
        d, _, words = tried[j]
        if told and away > _FAR:
            break
        if d.dye in told:
            continue
        covariance = of_layers(shade, d)
        what = f"Never dyed: over {code}, {words.format(d.words(), dye=d.dye)}."
        found = expectation(what, shade, lab, covariance, [code, d.code])
        told[d.dye] = found | cautions_of(d.bath)
        if len(told) == _TOLD:
            break
    if not told:
        return OntoAnswer(code, "No other swatch with a bath and a reading is on record yet.")
    return OntoAnswer(code, "", tuple(told.values()))
