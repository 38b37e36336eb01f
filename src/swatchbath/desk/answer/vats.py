"""Blue and what is made of it: her nearest vat swatch, a dip more or fewer, and what goes over it.

What a vat gives is foretold from her own vat swatches alone, widely (`predict.search.dips`); a
colour over it is a guess by what both give (`predict.search.overdye`) and is marked never dyed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from ...bath.materials import number
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array, lab_to_lch
from ...colorimetry.words import difference_words
from ...predict.search.dips import VatDepth
from ...predict.search.overdye import best_layers
from .dyeings import Dyeing, cautions_of, dips_words, expectation, nearest_first, of_layers

# Where blue, violet and green lie on the CIELAB circle (degrees), and from which chroma on; what
# is darker and greyer than the last line is black. Set by eye as the words of
# `colorimetry.words`; common practice, no source.
_HUES = (("green", 115.0, 205.0), ("blue", 205.0, 300.0), ("violet", 300.0, 345.0))
_LEAST_CHROMA, _BLACK_L, _BLACK_C = 6.0, 25.0, 8.0
# What goes over a blue; common practice, no source.
_OVER = {
    "green": ("weld", "yellow", ("weld", "broom", "chamomile", "goldenrod", "tansy", "birch leaf",
                                 "marigold", "coreopsis", "fustic", "onion")),
    "violet": ("madder or cochineal", "red", ("madder", "cochineal", "lac", "kermes")),
    "black": ("walnut", "brown", ("walnut", "oak", "gall", "cutch", "chestnut", "alder")),
}  # fmt: skip
_USUAL = {
    "green": "Green is a paler blue with weld over it",
    "violet": "Violet is a blue with madder or cochineal over it",
    "black": "Black is a deep blue with walnut over it, or with iron after",
}
# How many dips from hers are looked at: further is no step from what she dyed. Our own choice.
_MOST_DIPS = 4
NO_VAT = (
    "Blue comes from indigo or woad, and your record has no measured vat swatch. Dip one strip 1, "
    "2, 3, 4 and 5 times, and photograph it."
)


@dataclass(frozen=True)
class VatAnswer:
    """What a vat has to do with a shade. wanted : "blue", "green", "violet", "black" or "". said :
    sentences that stand first for a blue. ideas : never dyed, as `expectation` tells them, with
    their cautions."""

    wanted: str = ""
    said: tuple[str, ...] = ()
    leads: bool = False
    ideas: tuple[dict[str, Any], ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "wanted": self.wanted,
            "said": list(self.said),
            "leads": self.leads,
            "ideas": list(self.ideas),
        }


def vat_colour(lab: Array) -> str:
    """Which colour of the vat a Lab (3,) is: "blue", "green", "violet", "black", or "" for none.

    >>> vat_colour(np.array([16.0, 3.0, -20.0])), vat_colour(np.array([60.0, 20.0, 40.0]))
    ('blue', '')
    """
    L, C, h = (float(v) for v in lab_to_lch(lab))
    if C >= _LEAST_CHROMA:
        for name, low, high in _HUES:
            if low <= h < high:
                return name
    return "black" if L < _BLACK_L and C < _BLACK_C else ""


def vats_for(dyeings: Sequence[Dyeing], lab: Array) -> VatAnswer:
    """What to say of a wanted Lab (3,), from her swatches of one dyestuff."""
    wanted = vat_colour(lab)
    blues = [d for d in dyeings if d.in_vat]
    if not wanted:
        return VatAnswer()
    if not blues:
        if wanted == "blue":
            return VatAnswer(wanted, (NO_VAT,), True)
        return VatAnswer(wanted, (f"{_USUAL[wanted]}. {NO_VAT}",))
    depth = VatDepth.learn(
        np.array([d.lab for d in blues]),
        [d.dips for d in blues],
        [number(d.bath, "vat_dip_minutes") for d in blues],
        [f"{d.dye}, {d.bath.get('vat')}, {d.bath.get('fibre')}" for d in blues],
    )
    if wanted == "blue":
        return _blue(blues, depth, lab)
    return _over(wanted, blues, dyeings, depth, lab)


def _dipped(d: Dyeing, depth: VatDepth) -> list[tuple[float, Array, Array]]:
    """A vat swatch with a dip or some more or fewer: the dips, Lab and covariance of each."""
    if not d.dips >= 1:
        return []
    out = []
    for step in range(-_MOST_DIPS, _MOST_DIPS + 1):
        dips = d.dips + step
        if step and dips >= 1:
            shade, wide = depth.after(d.lab, (d.dips, dips))
            out.append((dips, shade, wide + d.reading.covariance))
    return out


def _blue(blues: Sequence[Dyeing], depth: VatDepth, lab: Array) -> VatAnswer:
    near = nearest_first(blues, lab)[0]
    away = float(delta_e2000(near.lab, lab))
    said = [
        f"Your nearest vat swatch is {near.words()}: {difference_words(near.lab, lab)} than your "
        f"shade (CIEDE2000 {away:.1f})."
    ]
    other = _dipped(near, depth)
    best = min(other, key=lambda o: float(delta_e2000(o[1], lab)), default=None)
    if best is None or float(delta_e2000(best[1], lab)) >= away - 0.5:
        if not other:
            more = "fewer dips" if near.lab[0] < lab[0] else "more dips"
            said.append(f"How often it was dipped is not on record; try {more} than then.")
        else:
            said.append("Dip as you did then: no other number of dips is expected to be nearer.")
        return VatAnswer("blue", tuple(said), True)
    dips, shade, wide = best
    words = f"As {near.words()}, {_more(dips - near.dips)}: {dips_words(dips)}."
    idea = expectation(words, shade, lab, wide, [near.code])
    return VatAnswer("blue", tuple(said), True, (idea | cautions_of(near.bath),))


def _more(step: float) -> str:
    many = {1: "one dip", 2: "two dips", 3: "three dips", 4: "four dips"}[abs(round(step))]
    return f"{many} {'more' if step > 0 else 'fewer'}"


def _over(
    wanted: str, blues: Sequence[Dyeing], dyeings: Sequence[Dyeing], depth: VatDepth, lab: Array
) -> VatAnswer:
    usual, colour, plants = _OVER[wanted]
    overs = [d for d in dyeings if not d.in_vat and any(p in d.dye.casefold() for p in plants)]
    overs = nearest_first(overs, lab)
    if not overs:
        return VatAnswer(wanted, (
            f"{_USUAL[wanted]}; your record has vat swatches and no {colour} to lay over them "
            f"({usual}).",
        ))  # fmt: skip
    under: list[tuple[Dyeing, float, Array]] = []
    for d in blues:
        under.append((d, d.dips, d.lab))
        under += [(d, dips, shade) for dips, shade, _ in _dipped(d, depth)]
    found = best_layers([u[2] for u in under], [o.lab for o in overs], lab, blues[0].base, k=1)
    i, j, shade, _ = found[0]
    blue, dips, _ = under[i]
    first = "" if not dips != blue.dips or dips != dips else f", {_more(dips - blue.dips)}"
    words = f"Never dyed: the vat as {blue.words()}{first}, then {overs[j].words()} over it."
    idea = expectation(
        words, shade, lab, of_layers(shade, blue, overs[j]), [blue.code, overs[j].code]
    )
    return VatAnswer(
        wanted, (f"{_USUAL[wanted]}.",), False, (idea | cautions_of(blue.bath, overs[j].bath),)
    )
