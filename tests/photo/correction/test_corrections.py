"""The corrections: what must hold for any reading, and how true they are on cameras left out.

Scores: tests/reference/chart_readings.csv (see its README), each photo corrected with constants
fitted without its camera family (tests/reference/typical_camera_left_out.json, written by
tests/studies/fit_typical_camera.py). Webcams are scored, but apart: no card rung helps them.
"""

import importlib.util
import json
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from folders import TESTS
from swatchbath.colorimetry import delta_e2000, lab_to_xyz, xyz_to_linear_srgb
from swatchbath.colorimetry.covariance import region_radius
from swatchbath.colorimetry.lab import SRGB_TO_XYZ
from swatchbath.errors import BadValue, ShapeError
from swatchbath.photo.correction.anchors import Anchors
from swatchbath.photo.correction.base import base_lab
from swatchbath.photo.correction.card import UNNAMED_CARD_LAB
from swatchbath.photo.correction.corrections import DEGREES, correct
from swatchbath.photo.correction.error_model import (
    ENCODINGS,
    features,
    load_model,
    model_from,
    typical_error,
)
from swatchbath.photo.correction.origin import Sources

CARD = [50.0, 0.3, -0.4]
IDS = {"sources": Sources("c", "p", "k")}
INSIDE_90 = region_radius(0.9, DEGREES)

labs = st.tuples(st.floats(20, 92), st.floats(-55, 55), st.floats(-50, 75))


def rgb_of(lab):
    return np.clip(xyz_to_linear_srgb(lab_to_xyz(np.atleast_2d(lab))), 0.004, 0.95)


def corrected(lab, encoding="rendered", card_lab=CARD, **more):
    """Colours as a picture that is already right shows them."""
    return correct(
        rgb_of(lab), card_rgb=rgb_of(CARD)[0], card_lab=card_lab, encoding=encoding,
        rgb_to_xyz=SRGB_TO_XYZ, **IDS | more,
    )  # fmt: skip


def anchors_of(lab, error, encoding="rendered"):
    base = base_lab(
        rgb_of(lab), card_rgb=rgb_of(CARD)[0], card_lab=CARD, encoding=encoding,
        rgb_to_xyz=SRGB_TO_XYZ,
    )  # fmt: skip
    return Anchors(base, base + error)


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_the_card_comes_out_as_itself(encoding):
    done = corrected(CARD, encoding)
    np.testing.assert_allclose(done.base_lab[0], CARD, atol=1e-9)
    assert delta_e2000(done.lab[0], CARD) < 0.5
    # Its doubt is the card's own, the light's and the swatch's, and no more.
    assert np.sqrt(np.diag(done.trueness[0])).max() < 2.0


@pytest.mark.parametrize("encoding", ["linear", "unprofiled"])
@given(lab=labs, factor=st.floats(0.3, 3))
def test_exposure_changes_nothing_in_linear_light(encoding, lab, factor):
    read, card = rgb_of(lab), rgb_of(CARD)[0]
    frame = {"card_lab": CARD, "encoding": encoding, "rgb_to_xyz": SRGB_TO_XYZ}
    once = base_lab(read, card_rgb=card, **frame)
    again = base_lab(read * factor, card_rgb=card * factor, **frame)
    np.testing.assert_allclose(once, again, atol=1e-9)


@given(lab=labs, gains=st.tuples(*[st.floats(0.7, 1.4)] * 3))
def test_a_cast_changes_nothing_in_linear_light(lab, gains):
    read, card = rgb_of(lab), rgb_of(CARD)[0]
    frame = {"card_lab": CARD, "encoding": "linear", "rgb_to_xyz": SRGB_TO_XYZ}
    np.testing.assert_allclose(
        base_lab(read, card_rgb=card, **frame),
        base_lab(read * gains, card_rgb=card * gains, **frame),
        atol=1e-9,
    )


@pytest.mark.parametrize("encoding", ENCODINGS)
@given(one=labs, two=labs)
def test_trueness_is_what_the_sources_and_the_swatch_give(encoding, one, two):
    done = corrected([one, two], encoding)
    shared = sum(a @ a.transpose(0, 2, 1) for a in done.shared.values())
    own = done.trueness - shared
    np.testing.assert_allclose(own, np.broadcast_to(own[0, 0, 0] * np.eye(3), own.shape), atol=1e-9)
    assert own[0, 0, 0] > 0
    assert np.linalg.eigvalsh(done.trueness).min() > 0
    assert all(np.isfinite(a).all() for a in done.shared.values())


@pytest.mark.parametrize("encoding", ENCODINGS)
@given(lab=labs)
def test_like_colours_share_more_than_unlike_ones(encoding, lab):
    turn = np.arange(8) * np.pi / 4
    around = np.stack([0 * turn, np.cos(turn), np.sin(turn)], axis=1)

    def doubt_of_difference(far):
        """Mean over eight directions of the variance of the difference."""
        done = corrected([lab, *(np.array(lab) + far * around)], encoding)
        between = [a[:1] - a[1:] for a in done.shared.values()]
        return sum((d**2).sum() for d in between) / 8

    assert doubt_of_difference(2) < 0.25 * doubt_of_difference(40)


@given(lab=labs, others=st.lists(labs, min_size=2, max_size=8))
def test_knowing_more_hardly_ever_widens_the_doubt(lab, others):
    """Exactly never, were the correction made with the kernel the doubt is stated with."""
    others = np.array(others)
    before = corrected(lab).trueness[0]
    few = corrected(lab, anchors=anchors_of(others[:1], 0.0)).trueness[0]
    many = corrected(lab, anchors=anchors_of(others, 0.0)).trueness[0]
    slack = 0.08 * np.trace(before)
    assert np.linalg.eigvalsh(before - few).min() > -slack
    assert np.linalg.eigvalsh(few - many).min() > -slack
    assert np.trace(many) < 1.02 * np.trace(before)


def test_known_colours_move_their_like_and_leave_the_far_ones():
    known = np.array([[45.0, 40, 20], [50, 42, 15], [40, 38, 25]])
    like, far = [46.0, 40, 19], [60.0, -40, -30]
    error = np.array([3.0, -4, 2])
    model = load_model("rendered")
    places = anchors_of(known, 0.0).base_lab
    surprise = typical_error(model, places, np.array(CARD)) + error
    shift = (
        corrected([like, far], anchors=anchors_of(known, surprise)).lab - corrected([like, far]).lab
    )
    assert shift[0] @ error / (error @ error) > 0.5
    assert np.linalg.norm(shift[1]) < 0.7 * np.linalg.norm(shift[0])


def test_the_doubt_left_is_the_spread_of_drawn_errors():
    """Draw cameras and photos from the model; the error left has the covariance that is stated."""
    rng = np.random.default_rng(4)
    model = load_model("rendered").stated
    colours = np.array([[55.0, 35, 30], [40, -20, 15], [65, 5, 40], [35, 10, -30]])
    known = np.array([[50.0, 30, 35], [45, -15, 10], [70, 0, 30]])
    both = anchors_of(np.vstack([colours, known]), 0.0).base_lab
    card = np.array(CARD)
    shape = features(both, card, model.smooth, model.rough)
    mean = both + typical_error(load_model("rendered"), both, card)
    light = ((both[:, :1] + 16) / (card[0] + 16)) * 0.3
    off = []
    for _ in range(1000):
        weights = model.camera_sd * rng.standard_normal(shape.shape[2])
        weights += model.photo_sd * rng.standard_normal(shape.shape[2])
        true = mean + shape @ weights + light * rng.standard_normal(3)
        seen = true[4:] + np.hypot(0.7, 3.0 * 0.35) * rng.standard_normal((3, 3))
        done = corrected(colours, anchors=Anchors(both[4:], seen))
        off.append((true[:4] - done.lab).ravel())
    stated = sum((a.reshape(12, -1) @ a.reshape(12, -1).T) for a in done.shared.values())
    stated *= (done.degrees - 2) / done.degrees  # of its scale
    drawn = np.cov(np.array(off).T)
    np.testing.assert_allclose(np.diag(drawn), np.diag(stated), rtol=0.12)
    assert np.abs(drawn - stated).max() < 0.12 * np.diag(stated).max()


def test_an_earlier_photo_speaks_for_the_camera_only():
    colour, known = [45.0, 40, 20], np.array([[46.0, 41, 21]])
    here = anchors_of(known, 0.0)
    earlier = Anchors(here.base_lab, here.lab, photo=("before",))
    alone = corrected(colour)
    mine, others = (corrected(colour, anchors=a) for a in (here, earlier))
    # What is stated of a profile's photo is less by one factor, fitted to real ones.
    size = others.shared["photo:p"][0].std() / alone.shared["photo:p"][0].std()
    assert np.linalg.eigvalsh(others.trueness[0] / size**2 - mine.trueness[0]).min() > 0
    np.testing.assert_allclose(others.shared["photo:p"], size * alone.shared["photo:p"])
    assert (others.shared["camera:c"] ** 2).sum() < 0.8 * (alone.shared["camera:c"] ** 2).sum()


def test_an_unnamed_card_is_an_18_percent_grey_and_is_doubted_more():
    named = corrected([60.0, 20, 20], card_lab=UNNAMED_CARD_LAB)
    unnamed = corrected([60.0, 20, 20], card_lab=None)
    np.testing.assert_allclose(named.lab, unnamed.lab, atol=1e-9)
    np.testing.assert_allclose(UNNAMED_CARD_LAB, [49.5, 0, 0], atol=0.01)
    assert np.linalg.eigvalsh(unnamed.trueness[0] - named.trueness[0]).min() > 0.5


def test_primaries_that_are_not_known_widen_the_doubt():
    wide, narrow = (corrected([60.0, 20, 20], e).trueness[0] for e in ("unprofiled", "linear"))
    assert np.linalg.eigvalsh(wide - narrow).min() > 0


def test_what_cannot_be_is_refused():
    with pytest.raises(BadValue, match="encoding"):
        corrected(CARD, "gamma 2.2")
    with pytest.raises(ShapeError):
        Anchors(np.zeros((2, 3)), np.zeros((3, 3)))


# Scores on cameras left out -----------------------------------------------------------------------


def studies(name):
    """A module of tests/studies."""
    folder = str(TESTS / "studies")
    if folder not in sys.path:
        sys.path.insert(0, folder)
    if name not in sys.modules:
        spec = importlib.util.spec_from_file_location(name, TESTS / "studies" / f"{name}.py")
        sys.modules[name] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[name])
    return sys.modules[name]


@pytest.fixture(scope="module")
def scored():
    """encoding -> rung -> [(photo, score)], each photo by constants fitted without its family."""
    photos = studies("chart_photos").read_charts(TESTS / "reference/chart_readings.csv")
    scores = studies("chart_scores")
    stored = json.loads((TESTS / "reference/typical_camera_left_out.json").read_text("utf-8"))
    shipped = TESTS.parent / "src/swatchbath/photo/correction/typical_camera.json"
    frequencies = json.loads(shipped.read_text("utf-8"))["frequencies"]
    return {
        encoding: scores.score_folds(
            [p for p in photos if p.gated and p.encoding == encoding],
            {f: model_from(part, frequencies) for f, part in stored[encoding].items()},
        )
        for encoding in ("rendered", "linear")
    }


def typical(results, quantity="error"):
    """Median over photos, webcams apart, of median and 95th percentile."""
    each = [np.percentile(s[quantity], [50, 95]) for p, s in results if p.family != "webcam"]
    return np.median(each, axis=0)


def held(results):
    """Share of swatches inside their 90 % region, webcams apart."""
    inside = [s["region"] < INSIDE_90 for p, s in results if p.family != "webcam"]
    return np.concatenate(inside).mean()


# median and 95th percentile: the project's limits for its rungs.
LIMITS = {
    ("rendered", "card"): (4.5, 9.0),
    ("rendered", "greys"): (4.4, 7.6),
    ("rendered", "chart"): (3.0, 5.5),
    ("linear", "card"): (2.8, 4.6),
    ("linear", "greys"): (2.8, 4.6),
    ("linear", "chart"): (2.2, 4.6),
}


@pytest.mark.parametrize(("encoding", "rung"), LIMITS)
def test_true_enough_on_cameras_left_out(scored, encoding, rung):
    median, far = typical(scored[encoding][rung])
    assert median <= LIMITS[encoding, rung][0]
    assert far <= LIMITS[encoding, rung][1]


def test_better_than_a_plain_gain_for_the_typical_family(scored):
    def by_family(results):
        families = {p.family for p, _ in results}
        return np.mean(
            [
                np.median([np.median(s["error"]) for p, s in results if p.family == f])
                for f in families
            ]
        )

    rendered = scored["rendered"]
    assert by_family(rendered["card"]) <= by_family(rendered["plain gain"]) - 0.5
    assert by_family(rendered["chart"]) <= by_family(rendered["card"]) - 1.0


def test_no_photo_gets_much_worse_than_by_a_plain_gain(scored):
    both = zip(scored["rendered"]["card"], scored["rendered"]["plain gain"], strict=True)
    loss = {p.name: np.median(s["error"]) - np.median(t["error"]) for (p, s), (_, t) in both}
    # math_1 is veiled by flare, which its black patch shows and a card cannot.
    assert max(v for name, v in loss.items() if name != "math_1") <= 2.0
    assert loss["math_1"] <= 2.5


@pytest.mark.parametrize(("encoding", "rung"), LIMITS)
def test_the_doubt_holds_on_cameras_left_out(scored, encoding, rung):
    """90 % regions hold 85 to 95 %, give or take 1 %: half the swatches are by one good phone."""
    assert 0.85 <= held(scored[encoding][rung]) <= 0.96


def test_the_doubt_holds_over_all_families(scored):
    """Every family counted alike, webcams one of them."""
    results = scored["rendered"]["card"]
    inside = {}
    for photo, score in results:
        inside.setdefault(photo.family, []).extend(score["region"] < INSIDE_90)
    assert 0.82 <= np.mean([np.mean(v) for v in inside.values()]) <= 0.97


def test_small_differences_within_a_photo(scored):
    """Two patches of true CIEDE2000 under 12: the project's limit is 1.5 / 3.7."""
    medians, fars = [], []
    for photo, score in scored["rendered"]["card"]:
        if photo.family == "webcam":
            continue
        rows, lab = score["rows"], score["lab"]
        a, b = np.triu_indices(len(rows), 1)
        true = delta_e2000(photo.lab[rows][a], photo.lab[rows][b])
        off = np.abs(delta_e2000(lab[a], lab[b]) - true)[true < 12]
        if len(off):
            medians.append(np.median(off))
            fars.append(np.percentile(off, 95))
    assert np.median(medians) <= 1.5
    assert np.median(fars) <= 3.7
