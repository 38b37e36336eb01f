"""A new delivery at the desk: what is asked for, what is corrected, and what is left as it was."""

import shutil

import numpy as np
import pytest

import swatchbath as sb
from delivery_made import STRONGER, checked, dye, made, true, weld
from swatchbath import desk
from swatchbath.colorimetry import delta_e2000
from swatchbath.errors import BadValue, NotFound
from swatchbath.library.safety.strays import LEARNT as FIT_FILE

BATHS = [weld(owf, pH) for owf in (30, 50, 90, 120) for pH in (5, 7, 8)]


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = made(tmp_path_factory.mktemp("house") / "library")
    with sb.Library(folder) as lib:
        desk.learn(lib)
    return folder


@pytest.fixture
def lib(house, tmp_path):
    shutil.copytree(house, tmp_path / "library")
    with sb.Library(tmp_path / "library") as lib:
        yield lib


def cells(bath):
    return [f"{n}={v}" for n, v in bath.items()]


def foreseen(lib, name):
    return [desk.predict(lib, cells(b | {"dyestuff_lot": name})) for b in BATHS]


def off(seen, shift):
    """Mean CIEDE2000 from the truth."""
    truth = np.array([true(b, shift) for b in BATHS])
    return delta_e2000(np.array([s.prediction.lab[0] for s in seen]), truth).mean()


def test_recipes_run_from_deep_to_pale_and_repeat_swatches_of_the_dyestuff(lib):
    found = desk.delivery(lib, "weld", "W26", checks=3)
    amounts = [r.bath["dye_owf"] for r in found.recipes]
    assert found.state == "to check" and amounts == sorted(amounts, reverse=True)
    for recipe in found.recipes:
        old = recipe.repeats.conditions
        assert old["dyestuff_lot"] == "W25" and old["dye_owf"] == recipe.bath["dye_owf"]
    assert found.off[0] > found.off[1] > found.off[3] > found.off[5]
    assert f"{found.off[0]:.1f}" in found.gain and f"three by {found.off[3]:.1f}" in found.gain
    assert found.give_or_take[0] > found.give_or_take[1]


def test_a_stronger_delivery_is_foreseen_nearer_with_three_checks(lib):
    before = off(foreseen(lib, "W26"), STRONGER)
    checked(lib)
    seen = foreseen(lib, "W26")
    after = off(seen, STRONGER)
    assert after < 0.6 * before
    (named,) = seen[0].deliveries
    assert named.lot is not None and 1.15 < named.lot.stronger < 1.4
    assert "Corrected for weld W26 by its 3 check swatches" in named.words
    told = desk.delivery(lib, "weld", "W26")
    assert told.state == "checked" and told.lot.stronger == pytest.approx(named.lot.stronger)
    assert not told.recipes and len(told.checks) == 3
    for check in told.checks:  # expected as W25 gives it, read as it came out
        bath = check.swatch.conditions
        assert delta_e2000(check.expected, true(bath)) < 1.5
        assert np.allclose(check.read, true(bath, STRONGER))


def test_the_known_delivery_is_foreseen_as_before(lib):
    old = foreseen(lib, "W25")
    checked(lib)
    assert off(foreseen(lib, "W25"), 0.0) < off(old, 0.0) + 0.3
    assert not desk.predict(lib, cells(weld())).deliveries


def test_suggest_and_plan_use_the_corrected_model_and_keep_to_the_dyestuff(lib):
    target = ",".join(f"{v:.2f}" for v in true(weld(60)))
    plain = desk.suggest(lib, target, limits=["dyestuff_lot=W25"], k=1).ideas[0]
    checked(lib, k=5)
    found = desk.suggest(lib, target, limits=["dyestuff_lot=w26"], k=4)
    assert {i.conditions["dyestuff"] for i in found.ideas} == {"weld"}
    assert found.ideas[0].conditions["dye_owf"] < plain.conditions["dye_owf"]
    assert not any(i.outside for i in found.ideas[:1])
    assert found.as_dict()["deliveries"][0]["corrected"]
    day = desk.plan(lib, target, limits=["dyestuff_lot=W26"], pots=1, jars=0)
    assert day.deliveries[0].lot is not None
    assert {s.conditions["dyestuff_lot"].casefold() for s in day.day.samples} == {"w26"}


def test_a_fit_without_the_checks_does_not_replace_that_of_all(lib):
    checked(lib, k=1)
    kept = lib.folder / FIT_FILE
    kept.unlink()
    desk.learn(lib)
    whole = kept.read_text()
    desk.delivery(lib, "weld", "W26")
    desk.suggest(lib, "74,-4,50", limits=["dyestuff_lot=W26"], k=1)
    assert kept.read_text() == whole
    kept.unlink()
    desk.delivery(lib, "weld", "W26")
    assert not kept.exists()


def test_only_one_reading_of_a_check_counts(lib):
    (code,) = checked(lib, k=1)
    one = desk.delivery(lib, "weld", "W26").lot
    lib.add_measurement(code, lib.swatch(code).measured)
    two = desk.delivery(lib, "weld", "W26").lot
    assert two.checks == 1 and np.allclose(one.shift, two.shift)


def test_with_six_swatches_it_is_learnt_as_its_own(lib):
    for owf in (20, 35, 60, 80, 100, 130):
        dye(lib, weld(owf, dyestuff_lot="W26"), shift=STRONGER)
    found = desk.delivery(lib, "weld", "W26")
    assert found.state == "learnt as its own" and found.own == 6 and not found.recipes
    (seen, *_) = foreseen(lib, "W26")
    assert not seen.deliveries and not seen.prediction.outside[0]


def test_a_name_without_swatches_is_foreseen_as_the_known_one_and_the_verb_named(lib):
    old, seen = (desk.predict(lib, cells(weld(dyestuff_lot=n))) for n in ("W25", "W27"))
    (named,) = seen.deliveries
    assert "never checked: it is taken to be as W25" in named.words
    assert "swatchbath delivery weld W27" in named.words
    assert not named.as_dict()["corrected"] and named.lot.checks == 0
    assert delta_e2000(seen.prediction.lab[0], old.prediction.lab[0]) < 0.3
    wide = [np.trace(s.prediction.pot_covariance[0]) for s in (old, seen)]
    assert wide[1] > 2 * wide[0]
    with pytest.raises(BadValue, match="not said of which dyestuff"):
        desk.suggest(lib, "60,10,40", limits=["dyestuff_lot=W27"], k=1)


def test_a_swatch_with_two_dyestuffs_is_no_check(lib):
    mixed = weld(dyestuff_lot="W26") | {"dyestuff_2": "madder", "dye_owf_2": 10.0}
    dye(lib, mixed, lab=[60, 12, 44])
    found = desk.delivery(lib, "weld", "W26", checks=1)
    assert found.state == "to check" and len(found.recipes) == 1
    assert "never checked" in desk.predict(lib, cells(weld(dyestuff_lot="W26"))).deliveries[0].words


def test_one_new_delivery_is_corrected_for_at_a_time(lib):
    checked(lib, k=1)
    checked(lib, "madder", "M26", k=1)
    found = desk.suggest(lib, "60,10,40", limits=["dyestuff_lot=W26,M26"], k=1)
    assert [d.lot for d in found.deliveries] == [None, None]
    assert "one new delivery" in found.deliveries[0].words


def test_a_check_read_by_another_camera_counts_for_little():
    """The error of a camera is in all of its readings: it is no difference of the delivery."""

    def read(lab, camera, photo):
        shared = {f"camera:{camera}": 5 * np.eye(3)}
        return sb.Measurement(lab, np.eye(3), rung="card", photo=photo, shared=shared)

    baths = [weld(owf, pH) for owf in (25, 35, 50, 70, 90, 120) for pH in (5, 6, 7, 8)]
    record = [read(true(b), "mine", f"photo {i}") for i, b in enumerate(baths)]
    model = sb.ShadeModel().fit(baths, record)
    recipes = model.check_recipes("weld", 3)
    shift = {}
    for camera in ("mine", "other"):
        checks = [read(true(r, STRONGER), camera, "one photo") for r in recipes]
        shift[camera] = model.new_lot("W26", recipes, checks).shift[0]
    # By the same camera it is as if there were only what differs from reading to reading.
    alone = model.new_lot(
        "W26", recipes, [m.lab for m in checks], covariances=np.repeat(np.eye(3)[None], 3, 0)
    )
    assert shift["mine"] == pytest.approx(alone.shift[0], rel=1e-3)
    assert shift["mine"] > 0.5 * STRONGER > 2.5 * abs(shift["other"])


@pytest.mark.parametrize(
    ("words", "error", "said"),
    [
        (("logwood", "L26"), NotFound, "No swatch was dyed with logwood alone"),
        (("weld", "M25"), BadValue, "delivery of madder called 'M25'"),
        (("weld", " "), BadValue, "no name"),
        (("weld", "a,b"), BadValue, "without commas"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(lib, words, error, said):
    with pytest.raises(error, match=said):
        desk.delivery(lib, *words)


def test_without_a_delivery_model_there_is_nothing_to_compare_with(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        for owf in range(20, 150, 10):
            bath = weld(owf)
            del bath["dyestuff_lot"]
            dye(lib, bath)
        with pytest.raises(NotFound, match="No other delivery of weld is named on record"):
            desk.delivery(lib, "weld", "W26")
        dye(lib, weld(50))
        with pytest.raises(NotFound, match="No other delivery of weld is named on record"):
            desk.delivery(lib, "weld", "W25")
