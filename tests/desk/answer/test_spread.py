"""How much spread is normal, from records whose spread is known."""

import numpy as np
import pytest

import swatchbath as sb
from shades_made import GOLD, dyed, photo_in, put_lot, reading
from swatchbath import desk
from swatchbath.colorimetry.difference import delta_e2000, local_metric
from swatchbath.desk.answer.spread import STARTING_SD, spread


@pytest.fixture
def lib(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        yield lib


def repeated(lib, rng, sd, *, recipes=3, lots=4, swatches=2, readings=2, deliveries=1):
    """A record of repeats; sd : of delivery, lot, swatch and reading, on each axis in units of
    equal difference."""
    back = np.linalg.inv(np.linalg.cholesky(local_metric(GOLD)))

    def off(s):
        return rng.normal(0, s, 3) @ back

    with lib.atomic():
        for r in range(recipes):
            for d in range(deliveries):
                of_d = off(sd[0])
                for k in range(lots):
                    of_lot = off(sd[1])
                    labs = [GOLD + of_d + of_lot + off(sd[2]) for _ in range(swatches)]
                    codes = put_lot(
                        lib, f"{r}-{d}-{k}", [x + off(sd[3]) for x in labs],
                        owf=60.0 + 20 * r, delivery=f"W{d}",
                    )  # fmt: skip
                    for code, lab in zip(codes, labs, strict=True):
                        for _ in range(readings - 1):
                            lib.add_measurement(code, reading(lab + off(sd[3])))


def test_known_spreads_are_found_in_her_units(lib):
    sd = (0.0, 1.5, 0.8, 0.4)
    repeated(lib, np.random.default_rng(4), sd, swatches=3)
    found = {s.name: s for s in spread(lib).sources}
    for name, true in (("lot", 1.5), ("swatch", 0.8), ("reading", 0.4)):
        low, high = found[name].interval
        assert low < true**2 < high, name
        likely, least, most = found[name].apart
        assert least <= likely <= most
    # Two normal draws of 1.5 on each axis lie 1.5 * 2.18 apart in half of the cases.
    pairs = np.random.default_rng(0).normal(0, 1.5, (2, 20000, 3))
    usual = np.median(np.linalg.norm(pairs[0] - pairs[1], axis=1))
    low, high = (desk_apart(v) for v in found["lot"].interval)
    assert low < usual < high
    assert "no recipe was dyed with two deliveries" in found["delivery"].words


def desk_apart(variance):
    return np.sqrt(2 * 2.366 * variance)


def test_the_spread_of_lots_at_a_colour_is_as_large_in_ciede2000_there(lib):
    repeated(lib, np.random.default_rng(4), (0, 1.5, 0.5, 0.3), lots=6)
    normal = spread(lib)
    assert normal.is_hers and normal.repeats == 15
    for lab in (GOLD, np.array([30.0, 20.0, -25.0])):
        draws = np.random.default_rng(1).multivariate_normal(
            np.zeros(3), normal.covariance_at(lab), (2, 4000)
        )
        apart = np.median(delta_e2000(lab + draws[0] / 2, lab + draws[1] / 2))
        assert apart == pytest.approx(normal.lots_apart / 2, rel=0.1)


def test_what_cannot_be_told_apart_names_what_to_photograph_again(lib):
    repeated(lib, np.random.default_rng(1), (0, 1, 1, 0.5), readings=1)
    found = {s.name: s for s in spread(lib).sources}
    assert found["reading"].apart is None and found["swatch"].apart is None
    assert "photograph these again" in found["reading"].words and found["reading"].again
    assert set(found["reading"].again) <= set(lib.codes())
    assert found["lot"].apart is not None
    told = spread(lib).as_dict()["sources"][0]
    assert told["usually_apart"] is None and told["interval"] is None and told["codes"]


def test_deliveries_crossed_with_lots_are_told_and_confounded_ones_are_not(tmp_path):
    rng = np.random.default_rng(9)
    with sb.Library(tmp_path / "crossed", create=True) as lib:
        repeated(lib, rng, (2.5, 0.8, 0.4, 0.2), recipes=2, deliveries=5, lots=2)
        found = {s.name: s for s in spread(lib).sources}
    for name, true in (("delivery", 2.5), ("lot", 0.8)):
        low, high = found[name].interval
        assert low < true**2 < high, name
    with sb.Library(tmp_path / "confounded", create=True) as lib:
        repeated(lib, rng, (2.5, 0.8, 0.4, 0.2), recipes=2, deliveries=5, lots=1)
        answer = spread(lib)
        found = {s.name: s for s in answer.sources}
        for name in ("delivery", "lot"):
            assert found[name].apart is None
            assert "lots and deliveries cannot be told apart" in found[name].words
            assert set(found[name].again) <= set(lib.codes()) and found[name].again
        told = answer.as_dict()["sources"]
    assert [t["usually_apart"] is None for t in told] == [False, False, True, True]


def test_one_swatch_of_each_lot_asks_for_a_second(lib):
    repeated(lib, np.random.default_rng(1), (0, 1, 1, 0.5), swatches=1)
    found = {s.name: s for s in spread(lib).sources}
    assert "second swatch" in found["swatch"].words and found["swatch"].again
    assert found["reading"].apart is not None
    assert spread(lib).is_hers  # together they are told all the same


def test_lots_in_photos_of_their_own_are_to_be_laid_together(lib, tmp_path):
    back = iter(range(20))
    for k in range(4):
        photo = photo_in(lib, tmp_path, next(back))
        labs = [GOLD + [k, s, 0] for s in (0, 0.4)]
        put_lot(lib, f"lot {k}", labs, photo=photo)
    found = {s.name: s for s in spread(lib).sources}
    assert "photograph these together in one frame" in found["lot"].words
    assert found["lot"].apart is None and not spread(lib).is_hers


def test_a_swatch_dyed_with_another_delivery_is_a_repeat_and_with_another_time_is_not(lib):
    put_lot(lib, "1", [GOLD], delivery="W25")
    put_lot(lib, "2", [GOLD], minutes=30.0)
    assert spread(lib).sources == () and spread(lib).readings == 0
    put_lot(lib, "3", [GOLD + 1], delivery="W26")
    put_lot(lib, "4", [GOLD - 1], delivery="W26")
    assert spread(lib).recipes == 1 and spread(lib).readings == 3


def test_where_nothing_is_repeated_it_says_what_to_do(lib):
    assert "Nothing was repeated" in spread(lib).words[0]
    assert "swatchbath record --like" in spread(lib).words[1]
    assert spread(lib).pot == STARTING_SD**2 and not spread(lib).is_hers
    assert spread(lib).tight_words(0.1) == ""
    code = lib.add_swatch(fibre={"fibre": "wool"}, steps=[dyed()])
    lib.add_measurement(code, reading(GOLD))
    lib.add_measurement(code, reading(GOLD), state="wet")
    assert spread(lib).sources == ()


def test_a_closeness_tighter_than_her_own_spread_is_called_out(lib):
    repeated(lib, np.random.default_rng(4), (0, 1.5, 0.5, 0.3), lots=6)
    normal = spread(lib)
    assert "one pot" in normal.tight_words(normal.lots_apart - 0.1)
    assert normal.tight_words(normal.lots_apart + 0.1) == ""
    said = desk.piece(lib, lib.codes()[0], name="gold", within=0.5).said
    assert any("usually lie" in s for s in said)
