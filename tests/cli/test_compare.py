"""Pairs as typed: formulas, her own eye, lots, unlike states and observers, kept pieces shown."""

import numpy as np
import pytest

import swatchbath as sb
from command import run, run_json
from shades_made import GOLD, put_lot
from swatchbath import Library
from swatchbath.colorimetry.difference import cmc


@pytest.fixture
def at(tmp_path):
    return tmp_path / "lib"


def put(folder, *readings):
    """A swatch for each (Measurement, state); their codes."""
    codes = []
    with Library(folder, create=not folder.exists()) as lib:
        for one, state in readings:
            codes.append(lib.add_swatch(fibre={"fibre": "wool"}))
            lib.add_measurement(codes[-1], one, state=state)
    return codes


def exact(lab, **how):
    return sb.Measurement(lab, 0.01 * np.eye(3), rung="instrument", **how)


def test_a_formula_is_told_in_numbers_and_verdict(at):
    pair = ("60,20,10", "63,20,10")
    plain = run_json("compare", *pair, folder=at, ok=1)
    textile = run_json("compare", *pair, "--formula", "textile", folder=at, ok=0)
    assert plain["verdict"] == "no match" and textile["verdict"] == "match"
    assert textile["difference"] == pytest.approx(plain["difference"] / 2, rel=0.01)
    assert textile["delta_e2000"] == pytest.approx(plain["delta_e2000"])
    told = run_json("compare", *pair, "--formula", "cmc21", folder=at, ok=None)
    wanted = cmc([63, 20, 10], [60, 20, 10])
    assert told["difference"] == pytest.approx(float(wanted))
    said = run("compare", *pair, "--formula", "cmc21", ok=None).stdout
    assert "CMC(2:1)" in said and "CIEDE2000" in said


def test_her_own_eye_is_kept_offered_and_taken_back(at):
    put(at, (exact(GOLD), "dry"))
    for i in range(10):
        eye = "match" if i < 5 else "apart"
        told = run_json("compare", "50,0,0", f"{50.3 + i},0,0", "--eye", eye, folder=at, ok=None)
    assert told["own_tolerance"] and f"--tolerance {told['own_tolerance']:g}" in told["eye"]
    undone = run("undo", "--library", at).stdout
    assert "judged last by eye" in undone
    told = run_json("compare", "50,0,0", "51,0,0", folder=at, ok=None)
    assert told["own_tolerance"] is None and told["eye"].startswith("9 pairs")
    run("undo", "--library", at)
    assert run_json("compare", "50,0,0", "51,0,0", folder=at, ok=None)["eye"].startswith("8 pairs")
    assert "--eye match" in run(
        "compare", "50,0,0", "51,0,0", "--eye", "so so", "--library", at, ok=2
    ).stderr.replace("\n", " ")


def test_lots_are_compared_as_lots(at):
    with Library(at, create=True) as lib:
        put_lot(lib, "20", [GOLD, GOLD + [0.6, 0, 0], GOLD - [0.6, 0, 0]])
        put_lot(lib, "21", [GOLD + [14, 0, 0]])
    told = run_json("compare", "lot 20", "lot 21", "--for", "customer", folder=at, ok=1)
    assert told["verdict"] == "no match" and "darker" in told["words"]
    said = " ".join((*told["a"]["said"], *told["b"]["said"]))
    assert "mean of 3 swatches" in said and "One swatch stands for lot 21" in said
    error = run("compare", "lot 20", "lot 99", "--library", at, ok=2).stderr.replace("\n", " ")
    assert "no lot 99" in error
    assert "Both are lot 20" in run("compare", "lot 20", "lot 20", "--library", at, ok=2).stderr


def test_a_swatch_that_was_only_read_wet_is_not_compared_with_a_dry_one(at):
    dry, wet = put(at, (exact(GOLD), "dry"), (exact(GOLD - [12, 0, 0]), "wet"))
    error = run("compare", dry, wet, "--library", at, ok=2).stderr.replace("\n", " ")
    assert wet in error and "no dry reading" in error
    with Library(at) as lib:
        lib.add_measurement(wet, exact(GOLD), state="dry")
        lib.add_measurement(wet, exact(GOLD - [12, 0, 0]), state="wet")
    told = run_json("compare", dry, wet, folder=at, ok=0)
    assert told["delta_e2000"] < 0.1  # by the dry reading, though the wet one is later


def test_unlike_observers_are_converted_with_their_doubt(at):
    two, ten = put(at, (exact(GOLD), "dry"), (exact(GOLD, observer="10"), "dry"))
    same = put(at, (exact(GOLD), "dry"))[0]
    unlike = run_json("compare", two, ten, folder=at, ok=None)
    alike = run_json("compare", two, same, folder=at, ok=0)
    wide = [np.ptp(told["interval"]) for told in (unlike, alike)]
    assert wide[0] > wide[1] + 0.3


def test_what_helps_meanwhile_is_not_said_of_two_that_are_far_apart(at):
    far = run_json("compare", "50,0,0", "62,0,0", folder=at, ok=1)
    near = run_json("compare", "50,0,0", "54,0,0", folder=at, ok=1)
    assert far["delta_e2000"] > 8 and far["meanwhile"] == []
    assert near["meanwhile"] and "rows" in near["meanwhile"][0]
    assert "Meanwhile" not in run("compare", "50,0,0", "62,0,0", ok=1).stdout


def test_a_kept_piece_is_shown_with_where_it_lies_until_undone(at):
    (code, other) = put(at, (exact(GOLD), "dry"), (exact(GOLD), "dry"))
    run("piece", code, "--as", "autumn gold", "--lies", "tin 3", "--library", at)
    kept = run_json("show", code, folder=at)["kept_piece_of"]
    assert kept == [{"called": "autumn gold", "lies": "tin 3"}]
    assert run_json("show", other, folder=at)["kept_piece_of"] == []
    said = run("show", code, "--library", at).stdout.replace("\n", " ")
    assert "kept piece of autumn gold" in said and "tin 3" in said
    assert "kept no more" in run("undo", "--library", at).stdout
    assert run_json("show", code, folder=at)["kept_piece_of"] == []
