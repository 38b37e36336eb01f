"""Her own swatches as dyeings that can be laid over one another, and the words for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from ...bath.care import Lived, care_of
from ...bath.cautions import cautions_for, materials_of
from ...bath.materials import dyestuffs, in_a_vat, number
from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import give_or_take
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words, difference_words
from ...predict.search.overdye import UNDYED, overdye_covariance
from ..text.wording import plain, screen

# Of very many swatches the nearest few hundred are enough to choose from; our own choice.
_MOST = 250


@dataclass(frozen=True)
class Dyeing:
    """A swatch of one dyestuff: its code, bath (columns) and colour."""

    code: str
    bath: Mapping[str, Any]
    reading: Measurement
    lab: Array

    @property
    def dye(self) -> str:
        """Its dyestuff, as she writes it."""
        return str(self.bath["dyestuff"])

    @property
    def in_vat(self) -> bool:
        """Whether it was dipped in a vat."""
        return in_a_vat(self.bath)

    @property
    def dips(self) -> float:
        """How often it was dipped; NaN where that is not told."""
        return number(self.bath, "vat_dips")

    @property
    def base(self) -> Array:
        """Lab (3,) of its undyed fibre, usual where it is not on record."""
        cells = [number(self.bath, f"base_{axis}") for axis in "Lab"]
        return np.where(np.isfinite(cells), cells, UNDYED)

    def words(self) -> str:
        """What it is, in short: "22a (weld 50 %)", "TCH6A (indigo, 3 dips)"."""
        if self.in_vat:
            told = f"{self.dye}, {dips_words(self.dips)}" if self.dips == self.dips else self.dye
        else:
            owf = number(self.bath, "dye_owf")
            told = self.dye if np.isnan(owf) else f"{self.dye} {owf:.3g} %"
            after = self.bath.get("modifier")
            told += f", {after} after" if after not in (None, "none") else ""
        return f"{self.code} ({told})"


def dips_words(dips: float) -> str:
    """How many dips: "1 dip", "3 dips"."""
    return f"{dips:g} dip{'' if dips == 1 else 's'}"


def dyeings_of(
    table: pd.DataFrame, measured: Sequence[Measurement], *, fibres: Sequence[str] = ()
) -> list[Dyeing]:
    """The swatches of one dyestuff in a library's table, each by its latest reading. fibres : only
    these, unless none is named."""
    found: dict[str, Dyeing] = {}
    for row, reading in zip(table.to_dict("records"), measured, strict=True):
        bath = plain({str(n): v for n, v in row.items()})
        if len(dyestuffs(bath)) != 1 or (fibres and bath.get("fibre") not in fibres):
            continue
        code = str(bath["swatch"])
        found[code] = Dyeing(code, bath, reading, to_d65_2(reading).lab)
    return list(found.values())


def nearest_first(dyeings: Sequence[Dyeing], lab: Array) -> list[Dyeing]:
    """Dyeings by how near they are to a colour, the nearest few hundred of them."""
    if not dyeings:
        return []
    away = delta_e2000(np.array([d.lab for d in dyeings]), lab)
    return [dyeings[i] for i in np.argsort(away, kind="stable")[:_MOST]]


def expectation(
    words: str, lab: Array, target: Array, covariance: Array, codes: Sequence[str]
) -> dict[str, Any]:
    """A dyeing that was never done, as plain values: what to do, the colour expected, how far from
    the target that is and which way, and the codes of the swatches it rests on."""
    away = float(delta_e2000(lab, target))
    wide = give_or_take(lab, covariance)
    return {
        "words": words,
        "expected": f"Expect {colour_words(lab)}, {away:.0f} from your shade "
        f"({difference_words(lab, target)}), give or take {wide:.0f}.",
        "lab": lab.tolist(),
        "delta_e2000": away,
        "give_or_take": wide,
        "codes": list(codes),
    } | screen(lab)


def cautions_of(*baths: Mapping[str, Any]) -> dict[str, Any]:
    """The cautions of what was never dyed, in full but for those of every pot, as plain values."""
    found = {c.name: c for bath in baths for c in cautions_for(bath)}
    materials = {m for bath in baths for m in materials_of(bath)}
    care = care_of(found.values(), materials, Lived())
    return {"cautions": [c.sentence for c in found.values()], "care": care.as_dict()}


def of_layers(lab: Array, *layers: Dyeing) -> Array:
    """Covariance (3, 3) of a guess from dyeings laid over one another."""
    return np.asarray(overdye_covariance(lab) + sum(d.reading.covariance for d in layers) / 2)
