"""A small dose of the simulation through spectra (tests/studies/simulate_rungs.py)."""

import importlib.util
import sys

import colour
import numpy as np
import pytest

from folders import STUDIES
from swatchbath.colorimetry import WHITE_D65, xyz_to_lab

FOLDER = STUDIES


@pytest.fixture(scope="module")
def study():
    with pytest.MonkeyPatch.context() as patched:
        patched.syspath_prepend(str(FOLDER))
        spec = importlib.util.spec_from_file_location(
            "simulate_rungs", FOLDER / "simulate_rungs.py"
        )
        module = importlib.util.module_from_spec(spec)
        patched.setitem(sys.modules, "simulate_rungs", module)
        spec.loader.exec_module(module)
        yield module


@pytest.fixture(scope="module")
def scores(study):
    return study.simulate(study.cameras()[::4], ("D65", "FL11"))


def median(study, scores, rung, look, light):
    return float(np.median(study.pooled(scores, rung, look, [light], None)[0]))


def test_its_true_colours_are_those_of_colour_science(study):
    for i in (3, 40, 77):
        sd = colour.SpectralDistribution(study.ces()[i], study.NM)
        xyz = colour.sd_to_XYZ(
            sd,
            colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(sd.shape),
            colour.SDS_ILLUMINANTS["D65"].copy().align(sd.shape),
            method="Integration",
        )
        ours = study.lab_of(study.ces()[i : i + 1])[0]
        # 0.1: the two whites are rounded differently.
        assert ours == pytest.approx(xyz_to_lab(xyz / 100, WHITE_D65), abs=0.1)


def test_a_camera_leaves_an_even_grey_grey(study):
    camera = study.cameras()[1]
    grey = study.balanced(np.full((1, 81), 0.3), camera.sensitivity, "A") @ camera.matrix.T
    assert grey[0] == pytest.approx([0.3] * 3, abs=1e-4)


@pytest.mark.parametrize("light", ["D65", "FL11"])
@pytest.mark.parametrize("look", ["linear", "rendered"])
def test_every_rung_does_what_the_ladder_says(study, scores, look, light):
    of = {r: median(study, scores, r, look, light) for r in study.RUNGS}
    least = median(study, scores, "floor", "linear", light)
    assert least < of["chart+"] < 1.05 * of["chart"]
    assert of["chart"] < of["card"] < 0.9 * of["as decoded"]
    assert of["greys"] < 1.1 * of["card"]


def test_lamps_are_worse_than_daylight_and_renderings_than_linear(study, scores):
    def of(*which):
        return median(study, scores, *which)

    for look in ("linear", "rendered"):
        assert of("card", look, "D65") < 0.75 * of("card", look, "FL11")
    assert of("card", "linear", "D65") < 0.75 * of("card", "rendered", "D65")
    assert of("floor", "linear", "D65") < of("floor", "linear", "FL11")


@pytest.mark.parametrize("rung", ["card", "chart"])
@pytest.mark.parametrize("look", ["linear", "rendered"])
def test_stated_doubt_holds_in_daylight(study, scores, look, rung):
    assert study.pooled(scores, rung, look, ["D65"], None)[1].mean() > 0.85


def test_the_tables_have_a_row_a_rung(study, scores):
    lines = study.by_light(scores, ["D65", "FL11"]).splitlines()
    assert len(lines) == 2 + 2 * len(study.RUNGS) + 1
    assert all(line.count("|") == 4 for line in lines)
