"""Her own swatches beside a shade: what comes out is its colour in the record's frame."""

from __future__ import annotations

import numpy as np
import pytest

import swatchbath as sb
from swatchbath.colorimetry import Measurement
from swatchbath.colorimetry.measurement import cross_covariance
from swatchbath.photo.correction.own_frame import (
    OwnPiece,
    changed_pieces,
    check_beside,
    in_record_frame,
    own_frame,
    unlike_pieces,
)

# Two cameras, each off by an error of its own that is smooth in Lab: one source each, six features.
LABS = {"22a": [60, 10, 30], "07": [62, 8, 26], "14b": [58, 14, 33], "target": [60, 11, 29]}


def loading(lab, rng_seed: int = 0) -> np.ndarray:
    """(3, 6): straight-line features of the colour, 3 units at one step of 30 in Lab."""
    at = (np.asarray(lab, float) - [55, 5, 25]) / 30
    return np.concatenate([4 * np.eye(3), 3 * np.diag(at)], axis=1)


def read(lab, camera: str, u: np.ndarray, *, sd: float = 0.3, rng=None) -> Measurement:
    shape = loading(lab)
    noise = np.zeros(3) if rng is None else rng.normal(0, sd, 3)
    return Measurement(
        np.asarray(lab) - shape @ u - noise,
        sd**2 * np.eye(3),
        trueness=shape @ shape.T,
        shared={f"camera:{camera}": shape},
        rung="card",
        photo=camera,
    )


def frame(rng, names=("22a", "07", "14b")):
    old, new = rng.standard_normal((2, 6))
    record = {n: read(LABS[n], "old", old, rng=rng) for n in LABS}
    here = {n: read(LABS[n], "new", new, rng=rng) for n in LABS}
    return {n: OwnPiece(here[n], record[n]) for n in names}, here, record


def test_a_shade_comes_out_as_the_record_would_read_it():
    rng = np.random.default_rng(0)
    off, alone, held = [], [], []
    for _ in range(300):
        pieces, here, record = frame(rng)
        out = in_record_frame({"target": here["target"]}, pieces)["target"]
        of_record = record["target"]
        gap = out.lab - of_record.lab
        off.append(np.linalg.norm(gap))
        alone.append(np.linalg.norm(here["target"].lab - of_record.lab))
        c = cross_covariance(out, of_record)
        cov = out.covariance + of_record.covariance - c - c.T
        held.append(gap @ np.linalg.solve(cov, gap) < 6.2514)
    assert np.median(off) < 0.35 * np.median(alone)
    assert 0.85 < np.mean(held) <= 1.0


@pytest.mark.parametrize("names", [("22a",), ("22a", "07"), ("22a", "07", "14b")])
def test_each_further_piece_narrows_what_is_left(names):
    pieces, here, record = frame(np.random.default_rng(1), names)

    def left(some):
        out = in_record_frame({"target": here["target"]}, some)["target"]
        c = cross_covariance(out, record["target"])
        return np.trace(out.covariance + record["target"].covariance - c - c.T)

    fewer = dict(list(pieces.items())[:-1])
    assert left(pieces) < left(fewer)


def test_trueness_is_what_the_sources_and_the_reading_alone_make():
    pieces, here, _ = frame(np.random.default_rng(2))
    out = in_record_frame({"target": here["target"]}, pieces)["target"]
    total = sum(a @ a.T for a in out.shared.values())
    assert np.allclose(out.trueness, total, atol=1e-9)
    assert out.rung == "beside"
    assert {"camera:old", "camera:new"} <= set(out.shared)


def test_nothing_beside_changes_nothing():
    _, here, _ = frame(np.random.default_rng(3))
    assert in_record_frame(here, {}) == here


def test_a_faded_piece_is_left_out_and_sound_ones_are_kept():
    rng = np.random.default_rng(4)
    found, false = 0, 0
    for _ in range(200):
        pieces, _, _ = frame(rng)
        false += bool(changed_pieces(pieces))
        faded = pieces["07"].here.replace(lab=pieces["07"].here.lab + [7, -2, -6])
        found += changed_pieces(pieces | {"07": OwnPiece(faded, pieces["07"].on_record)}) == ["07"]
    assert found >= 160
    assert false <= 10


def test_of_two_that_disagree_the_paler_one_is_left_out():
    pieces, _, _ = frame(np.random.default_rng(5), ("22a", "07"))
    faded = pieces["22a"].here.replace(lab=pieces["22a"].here.lab + [14, -4, -10])
    assert changed_pieces(pieces | {"22a": OwnPiece(faded, pieces["22a"].on_record)}) == ["22a"]


def test_a_piece_that_is_another_one_is_left_out_and_no_sound_or_faded_one():
    rng = np.random.default_rng(6)
    unlike, false = 0, 0
    for _ in range(200):
        pieces, _, _ = frame(rng)
        faded = pieces["07"].here.replace(lab=pieces["07"].here.lab + [7, -2, -6])
        false += bool(unlike_pieces(pieces | {"07": OwnPiece(faded, pieces["07"].on_record)}))
        blue = pieces["22a"].here.replace(lab=pieces["22a"].here.lab + [-15, -20, -60])
        unlike += unlike_pieces({"22a": OwnPiece(blue, pieces["22a"].on_record)}) == ["22a"]
    assert unlike == 200
    assert false == 0


def test_where_no_piece_is_what_it_was_said_to_be_the_readings_stay():
    _, here, record = frame(np.random.default_rng(7))
    blue = here["07"].replace(lab=here["07"].lab + [-15, -20, -60])
    out = own_frame({"07": blue, "target": here["target"]}, {"07": record["07"]}, {})
    assert out.readings["target"] is here["target"]
    assert out.beside == () and list(out.changed) == ["07"]


def test_what_cannot_lie_beside_is_refused():
    some = Measurement([50, 0, 0])
    places = {n: None for n in "abcdefgh"}
    for beside, words in (
        ({"a": [50, 0, 0]}, "Measurement"),
        ({"z": some}, "place"),
        (dict.fromkeys("abcdefg", some), "at most 6"),
    ):
        with pytest.raises(sb.BadValue, match=words):
            check_beside(beside, places)
    with pytest.raises(sb.BadValue, match="none to be read"):
        check_beside({"a": some}, {"a": None})
