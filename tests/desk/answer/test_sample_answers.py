"""From photos to answers on the sample house: what every dyer knows, and baths that hit.

End to end: the shipped photos are measured, the model learns from the readings, and its answers
are judged by the true colours, which only the drawing code knows.
"""

import csv
import importlib.util
import sys

import numpy as np
import pytest

import swatchbath as sb
from folders import ROOT
from swatchbath.colorimetry import lab_to_lch

WHOLE_SEARCH = True  # the baths themselves are judged
SAMPLE = ROOT / "sample_swatches"


@pytest.fixture(scope="module")
def table(sample_house):
    """(conditions, measurements, names) of the sample house as photographed."""
    with sb.Library(sample_house) as lib:
        conditions, measured, _ = lib.table()
        names = [lib.swatch(code).name for code in conditions["swatch"]]
    return conditions, measured, names


@pytest.fixture(scope="module")
def model(table):
    conditions, measured, _ = table
    return sb.ShadeModel().fit(conditions, measured)


@pytest.fixture(scope="module")
def truth():
    with open(ROOT / "tests" / "reference" / "sample_truth.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {r["name"]: np.array([float(r[k]) for k in ("L", "a", "b")]) for r in rows}


def house():
    if "draw" not in sys.modules:
        spec = importlib.util.spec_from_file_location("draw", SAMPLE / "draw.py")
        sys.modules["draw"] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules["draw"])
    return sys.modules["draw"].House(0)


WELD = {
    "fibre": "wool", "fibre_form": "untreated", "dyestuff": "weld", "dyestuff_form": "dried",
    "dyestuff_lot": "W25", "dye_owf": 80, "tannin": "none", "mordant": "alum", "mordant_owf": 12,
    "assist": "none", "pH": 6, "temperature_C": 80, "minutes": 60, "liquor_ratio": 30,
    "bath_number": 1, "modifier": "none", "wash_pH": 7, "water": "tap",
    "vessel": "stainless steel",
}  # fmt: skip
MADDER = WELD | {"dyestuff": "madder", "dyestuff_lot": "M25", "temperature_C": 60, "dye_owf": 60}
IRON = {"modifier": "iron", "modifier_owf": 2, "modifier_pH": 5.5, "modifier_minutes": 10}
LYE = {"modifier": "ash lye", "modifier_pH": 9, "modifier_minutes": 5}


def lch(model, bath):
    return lab_to_lch(model.predict(bath).lab[0])


# What every dyer knows; common practice, no source.


def test_iron_darkens_and_dulls_and_turns_yellows_green(model):
    for bath in (WELD, MADDER):
        plain, iron = lch(model, bath), lch(model, bath | IRON)
        assert iron[0] < plain[0] - 5
        assert iron[1] < plain[1] - 3
    assert lch(model, WELD | IRON)[2] > lch(model, WELD)[2] + 3


def test_alkali_deepens_yellows_towards_gold(model):
    plain, gold = model.predict(WELD).lab[0], model.predict(WELD | LYE).lab[0]
    assert lab_to_lch(gold)[2] < lab_to_lch(plain)[2]
    assert gold[2] > plain[2]


def test_madder_browns_above_about_70(model):
    cool, hot = lch(model, MADDER), lch(model, MADDER | {"temperature_C": 90})
    assert hot[1] < cool[1]
    assert hot[2] > cool[2]


def test_less_mordant_is_paler(model):
    for bath in (WELD, MADDER):
        much, little = lch(model, bath), lch(model, bath | {"mordant": "none", "mordant_owf": 0})
        assert little[1] < much[1]
        assert little[0] > much[0]


# Lots left out.


def test_left_out_lots_are_foreseen_better_than_by_the_most_alike_swatch(model):
    left = model.cross_validation_
    assert left.blocks == 28
    assert left.median < left.nearest
    assert 0.8 <= left.coverage <= 0.97


def left_out_suggestions(table, truth, every):
    """For each lot, or one in so many, left out with all that shares its photos: CIEDE2000 of the
    first suggestion, dyed by the drawing code without noise, and of the remaining swatches, from
    its true colour."""
    conditions, measured, names = table
    true = np.array([truth[n] for n in names])
    dyes = house()
    found = []
    for lot in sorted(set(conditions["lot"]))[::every]:
        own = (conditions["lot"] == lot).to_numpy()
        shares = conditions["photo"].isin(set(conditions["photo"][own])).to_numpy()
        rest = np.flatnonzero(~shares)
        row = int(np.flatnonzero(own)[0])
        fibre = conditions["fibre"].iloc[row]
        m = sb.ShadeModel().fit(conditions.iloc[rest], [measured[i] for i in rest])
        idea = m.suggest(true[row], limits={"fibre": fibre}, tolerance=2, k=1)[0]
        dyed = float(sb.delta_e2000(dyes.true_lab(idea.conditions), true[row]))
        same = rest[(conditions["fibre"].iloc[rest] == fibre).to_numpy()]
        off = sb.delta_e2000(true[same], true[row])
        as_read = sb.delta_e2000(np.array([measured[i].lab for i in same]), true[row])
        found.append((dyed, float(off[np.argmin(as_read)]), float(off.min())))
    return np.array(found)


@pytest.mark.parametrize("every", [3, pytest.param(1, marks=pytest.mark.slow)])
def test_the_first_suggestion_beats_the_nearest_swatch_of_the_rest(table, truth, every):
    dyed, nearest, _ = left_out_suggestions(table, truth, every).T
    assert np.mean(dyed < nearest) >= 0.6
