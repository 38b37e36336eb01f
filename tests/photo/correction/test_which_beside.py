"""Which swatches to lay beside a shade: near ones, and what is promised is what comes of it."""

from itertools import combinations

import numpy as np
import pytest

from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.photo.correction.corrections import correct
from swatchbath.photo.correction.origin import Sources
from swatchbath.photo.correction.own_frame import OwnPiece, in_record_frame
from swatchbath.photo.correction.which_beside import moved_to, off_from_record, which_beside

SHADE = np.array([55.0, 15.0, 35.0])


def by_card(labs, camera="hers", photo="a", card="k"):
    """Readings of these colours (about) in one photo by the card, with their named errors."""
    from swatchbath.colorimetry.lab import SRGB_TO_XYZ, lab_to_xyz, xyz_to_linear_srgb

    found = correct(
        np.maximum(xyz_to_linear_srgb(lab_to_xyz(np.atleast_2d(labs))), 0.002),
        card_rgb=[0.18] * 3,
        encoding="rendered",
        rgb_to_xyz=SRGB_TO_XYZ,
        sources=Sources(camera, photo, card),
    )
    return [
        Measurement(
            lab, 0.09 * np.eye(3), trueness=found.trueness[i], photo=photo, rung="card",
            degrees=found.degrees, shared={n: a[i] for n, a in found.shared.items()},
        )
        for i, lab in enumerate(found.lab)
    ]  # fmt: skip


def house(n=30, seed=0, far=45):
    """Readings of n swatches by one camera, five to a photo."""
    rng = np.random.default_rng(seed)
    labs = SHADE + rng.uniform(-1, 1, (n, 3)) * [20, far * 0.6, far]
    out = {}
    for i in range(0, n, 5):
        some = by_card(labs[i : i + 5], photo=f"p{i}")
        out |= {f"s{i + j:02}": m for j, m in enumerate(some)}
    return out


def shade(camera="hers"):
    return by_card(SHADE, camera=camera, photo="new")[0]


@pytest.mark.parametrize("camera", ["hers", "a friend's"])
def test_each_piece_leaves_less_open_and_three_less_than_the_card(camera):
    record = house()
    told = [which_beside(shade(camera), record, count=k) for k in (1, 2, 3)]
    assert [len(t.names) for t in told] == [1, 2, 3]
    assert told[0].names == told[2].names[:1]
    assert told[0].now > told[0].then > told[1].then > told[2].then
    assert len({t.now for t in told}) == 1


def test_another_phone_is_as_good_once_they_lie_beside():
    """Its own errors cancel, which by the card alone are larger than those of her own phone."""
    record = house(far=10)
    hers, another = (which_beside(shade(c), record) for c in ("hers", "a friend's"))
    assert another.now > 2 * hers.now
    assert another.then < hers.now and another.then < 1.6 * hers.then


def test_near_ones_are_chosen_and_they_are_nearly_the_best_three():
    record = house(10, seed=4)
    told = which_beside(shade("a friend's"), record)
    labs = np.array([m.lab for m in record.values()])
    away = dict(zip(record, np.linalg.norm(labs - SHADE, axis=1), strict=True))
    assert np.mean([away[n] for n in told.names]) < 0.7 * np.mean(list(away.values()))
    nearest = min(record, key=lambda n: delta_e2000(record[n].lab, shade().lab))
    seen = shade("a friend's")

    def then(names):
        pieces = {
            n: OwnPiece(
                moved_to(seen, record[n].lab).replace(covariance=0.09 * np.eye(3)), record[n]
            )
            for n in names
        }
        return off_from_record(in_record_frame({"x": seen}, pieces)["x"], record[nearest])

    every = [then(names) for names in combinations(record, 3)]
    assert told.then == pytest.approx(then(told.names), rel=0.02)
    assert told.then < 1.1 * min(every)


def test_what_is_promised_comes_of_it():
    """Of photos drawn with the errors the readings name, two in three come out within it."""
    rng = np.random.default_rng(7)
    record = house(20, seed=2, far=20)
    seen = shade("a friend's")
    told = which_beside(seen, record)
    nearest = min(record, key=lambda n: delta_e2000(record[n].lab, seen.lab))
    as_recorded = moved_to(record[nearest], seen.lab)
    here = {
        n: moved_to(seen, record[n].lab).replace(covariance=0.09 * np.eye(3)) for n in told.names
    }
    gaps, alone = [], []
    for _ in range(400):
        scale = np.sqrt(6 / rng.chisquare(6) * 4 / 6)  # of Student's t of 6 degrees, variance 1
        u: dict[str, np.ndarray] = {}

        def off(m, scale=scale, u=u):
            error = rng.standard_normal(3) * 0.5  # its own scatter and repeatability
            for name, a in m.shared.items():
                error = error + a @ u.setdefault(name, rng.standard_normal(a.shape[1])) * scale
            return error

        pieces = {
            n: OwnPiece(here[n].replace(lab=here[n].lab - off(here[n])),
                     record[n].replace(lab=record[n].lab - off(record[n])))
            for n in told.names
        }  # fmt: skip
        target = seen.replace(lab=seen.lab - off(seen))
        wanted = as_recorded.lab - off(as_recorded)
        alone.append(delta_e2000(target.lab, wanted))
        gaps.append(delta_e2000(in_record_frame({"x": target}, pieces)["x"].lab, wanted))
    assert 0.6 < np.mean(np.array(alone) < told.now) < 0.78
    # The update is told of more scatter between pieces than is drawn here.
    assert 0.6 < np.mean(np.array(gaps) < told.then) < 0.97
    assert np.median(gaps) < 0.5 * np.median(alone)


def test_what_lies_beside_two_already_may_get_others_beside_it():
    record = house()
    seen = shade("a friend's")
    two = list(record)[:2]
    pieces = {n: OwnPiece(moved_to(seen, record[n].lab), record[n]) for n in two}
    told = which_beside(in_record_frame({"x": seen}, pieces)["x"], record)
    assert len(told.names) == 3 and told.then < told.now < which_beside(seen, record).now


def test_a_wish_is_foreseen_as_a_photo_by_her_own_camera():
    record = house()
    exact = which_beside(Measurement(SHADE, np.zeros((3, 3))), record)
    vague = which_beside(Measurement(SHADE, 25 * np.eye(3)), record)
    # What is not known of a wish is known once the piece itself is photographed.
    assert vague.now > exact.now > exact.then
    assert vague.then == exact.then and vague.names == exact.names
    assert exact.then == pytest.approx(which_beside(shade(), record).then, rel=0.3)


def test_instrument_readings_on_record_serve_too_and_none_gives_none():
    labs = [SHADE + d for d in ([2, 3, 0], [-3, 1, 4], [0, -6, 5], [4, 4, -8])]
    record = {str(i): Measurement(lab) for i, lab in enumerate(labs)}
    told = which_beside(shade("a friend's"), record)
    assert len(told.names) == 3 and told.then < 0.6 * told.now
    assert which_beside(shade(), {}).names == ()


def test_a_reading_moved_to_its_own_colour_is_itself():
    m = shade()
    again = moved_to(m, m.lab)
    assert np.allclose(again.covariance, m.covariance, atol=0.01)
    assert all(np.allclose(again.shared[n], m.shared[n], atol=0.01) for n in m.shared)
    there = by_card(SHADE + [10, -5, 8], photo="new")[0]
    moved = moved_to(m, there.lab)
    for name, loading in there.shared.items():
        assert np.linalg.norm(moved.shared[name] - loading) < 0.02 * np.linalg.norm(loading)
