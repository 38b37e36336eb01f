"""What a swatch was expected to come out as, told from the stored fit."""

import numpy as np
import pytest

import swatchbath as sb
from command import run
from swatchbath import desk


@pytest.fixture(scope="module")
def house(sample_house):
    return sample_house


def test_it_is_what_was_expected_when_its_lot_was_left_out(house):
    with sb.Library(house) as lib:
        learnt = desk.learn(lib)
        left = learnt.model.cross_validation_
        seen = 0
        for row in range(0, len(left.lab), 9):
            code = learnt.name(row)
            shown = desk.show(lib, code)
            readings = [i for i in range(len(left.lab)) if learnt.name(i) == code]
            if not np.isfinite(left.lab[readings]).all():
                continue
            latest = readings[-1]
            expected = shown["expected"]
            assert expected["lab"] == pytest.approx(left.lab[latest].tolist())
            assert expected["delta_e2000"] == pytest.approx(left.delta_e2000[latest], abs=0.01)
            seen += 1
        assert seen > 5


def test_show_says_how_far_it_came_out(house):
    said = " ".join(run("show", "07a", "--library", house).output.split())
    assert "Expected by your other lots: " in said and "It came out " in said


def test_what_is_no_longer_what_was_learnt_is_not_compared(house):
    run("edit", "07a", "--set", "dye_owf=90", "--library", house)
    try:
        with sb.Library(house) as lib:
            assert desk.show(lib, "07a")["expected"] is None
            assert desk.show(lib, "08a")["expected"] is not None
    finally:
        run("undo", "--library", house)


def test_without_a_stored_fit_nothing_is_said(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        (code,) = desk.pot(lib, ["dye: weld 80 %"], fibres=["wool"]).codes
        assert desk.show(lib, code)["expected"] is None
    assert "Expected" not in run("show", code, "--library", tmp_path / "lib").output
