"""Check swatches of a new delivery: the recipes to dye, and those dyed beside what was expected."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import colour_words, difference_words
from ...library import Library, Swatch
from ...predict.delivery.lots import checks_of
from ..photo.own_pieces import as_piece
from ..text.bath_words import bath_words
from ..text.shown import colour_as_dict, steps_as_dicts
from ..text.wording import plain, screen
from .delivery_model import quoted
from .learn import LibraryModel
from .recipe import weighed


@dataclass(frozen=True, eq=False)
class Recipe:
    """A check swatch to dye: the bath of one on record, with the new delivery in it."""

    bath: dict[str, Any]
    repeats: Swatch
    lab: Array

    def as_dict(self, name: str, grams: float) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "conditions": plain(self.bath | {"dyestuff_lot": name}),
            "bath": bath_words(self.bath | {"dyestuff_lot": name}),
            "steps": steps_as_dicts(self.bath | {"dyestuff_lot": name}),
            "weigh": weighed(self.bath, grams),
            "lay_beside": [as_piece(self.repeats)],
            "repeats": {
                "code": self.repeats.code,
                "name": self.repeats.name,
                **colour_as_dict(self.repeats.measured),
                "lab": self.lab.tolist(),
                "words": colour_words(self.lab),
            }
            | screen(self.lab),
            "record": f"swatchbath record --like {self.repeats.code} "
            f"--set {quoted('dyestuff_lot=' + name)}",
        }


@dataclass(frozen=True, eq=False)
class CheckSwatch:
    """A check swatch on record: expected as dyed with the known delivery, and as read (D65/2)."""

    swatch: Swatch
    expected: Array
    read: Array

    @property
    def words(self) -> str:
        """How it came out beside what the known delivery would give."""
        return difference_words(self.read, self.expected)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "code": self.swatch.code,
            "name": self.swatch.name,
            "bath": " ".join(bath_words(self.swatch.conditions, self.swatch.steps, brief=True)),
            "expected": {"lab": self.expected.tolist()} | screen(self.expected),
            "steps": steps_as_dicts(self.swatch.steps),
            "read": colour_as_dict(to_d65_2(reading_of(self.swatch))) | screen(self.read),
            "delta_e2000": float(delta_e2000(self.read, self.expected)),
            "words": self.words,
        }


def recipes_of(library: Library, learnt: LibraryModel, dyestuff: str, k: int) -> tuple[Recipe, ...]:
    """Recipes that tell most about a new delivery, with the swatches they repeat."""
    return tuple(
        Recipe(bath, swatch, to_d65_2(reading_of(swatch)).lab)
        for row, bath in checks_of(learnt.model.fit_, dyestuff, k)
        for swatch in [library.swatch(learnt.name(row))]
    )


def reading_of(swatch: Swatch) -> Measurement:
    """The latest dry reading of a swatch that was learnt from."""
    assert swatch.measured is not None  # only swatches with a dry reading are learnt from
    return swatch.measured


def check_of(swatch: Swatch, learnt: LibraryModel, named: dict[str, str]) -> CheckSwatch:
    """A check swatch beside what is expected with the known delivery, named as in its table."""
    bath = {n: v for n, v in swatch.conditions.items() if n != "dyestuff_lot"} | named
    expected = learnt.model.predict([bath]).lab[0]
    return CheckSwatch(swatch, expected, to_d65_2(reading_of(swatch)).lab)


def recipe_key(bath: dict[str, Any]) -> tuple[Any, ...]:
    """What makes two recipes the same but for the delivery and the weight of the fibre."""
    out = {n: v for n, v in plain(bath).items() if n not in ("dyestuff_lot", "fibre_g", "pot_g")}
    return tuple(sorted((n, str(v)) for n, v in out.items()))
