""" "Like this but": a shade a step away, and one thing to change."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.colorimetry import delta_e2000, lab_to_lch
from swatchbath.desk.answer.directions import DIRECTIONS, moved
from swatchbath.errors import BadValue
from vat_house import plant_baths


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("directions") / "library"
    with sb.Library(folder, create=True) as lib:
        codes = plant_baths(lib)
    return folder, codes


AXIS = {"lighter": (0, 1), "darker": (0, -1), "redder": (1, 1), "greener": (1, -1),
        "yellower": (2, 1), "bluer": (2, -1)}  # fmt: skip


@pytest.mark.parametrize("direction", DIRECTIONS)
@pytest.mark.parametrize("lab", [[50, 30, 20], [75, -3, 55], [40, 5, -12]])
def test_a_step_goes_its_way_is_seen_and_doubles(direction, lab):
    lab = np.array(lab, float)
    once, twice = (moved(lab, {direction: n}) for n in (1, 2))
    assert delta_e2000(lab, once) == pytest.approx(5, abs=0.2)
    if direction in AXIS:
        axis, sign = AXIS[direction]
        assert (once - lab)[axis] * sign > 0
        assert np.allclose(twice - lab, 2 * (once - lab))
    else:
        sign = 1 if direction == "clearer" else -1
        chroma = [lab_to_lch(x)[1] for x in (lab, once, twice)]
        assert (np.diff(chroma) * sign > 0).all()


def test_a_grey_gets_no_greyer_and_white_no_lighter():
    assert np.allclose(moved(np.array([50.0, 1, 1]), {"greyer": 2})[1:], 0)
    assert moved(np.array([98.0, 0, 0]), {"lighter": 2})[0] == 100


def test_lighter_is_less_dyestuff_and_darker_is_more(house):
    folder, codes = house
    with sb.Library(folder) as lib:
        pale = desk.suggest(lib, codes["weld"][6], but={"lighter": 1}, k=1).as_dict()["changes"]
        deep = desk.suggest(lib, codes["weld"][3], but={"darker": 1}, k=1).as_dict()["changes"]
    amounts = [c["conditions"]["dye_owf"] for c in pale["changes"]]
    assert pale["asked"] == "lighter"
    assert min(amounts) < 80
    assert pale["changes"][0]["words"].startswith(f"From {codes['weld'][6]}: ")
    assert any(c["conditions"]["dye_owf"] > 30 for c in deep["changes"])


def test_greyer_is_a_pinch_of_iron_by_common_practice(house):
    folder, codes = house
    with sb.Library(folder) as lib:
        told = desk.suggest(lib, codes["madder"][5], but={"greyer": 1, "darker": 1}, k=1).as_dict()
    iron = [c for c in told["changes"]["changes"] if c["conditions"]["modifier"] == "iron"]
    assert iron
    assert "iron after" in iron[0]["words"]
    assert any("by common practice, not by your swatches" in r for r in iron[0]["reasons"])
    assert any("iron" in c.casefold() for c in iron[0]["cautions"])


def test_one_thing_at_a_time_and_within_the_caps(house):
    folder, codes = house
    with sb.Library(folder) as lib:
        own = lib.swatch(codes["madder"][7]).conditions
        for steps in ({"lighter": 2}, {"greyer": 2}, {"bluer": 1}, {"yellower": 1, "darker": 1}):
            told = desk.suggest(lib, codes["madder"][7], but=steps, k=1).as_dict()["changes"]
            for change in told["changes"]:
                new = change["conditions"]
                other = {n for n in new if new[n] != own.get(n)}
                assert len({n.split("_")[0] for n in other}) == 1
                assert new["dye_owf"] <= 100


def test_directions_need_a_swatch_and_do_not_undo_each_other(house):
    folder, codes = house
    with sb.Library(folder) as lib:
        with pytest.raises(BadValue, match="from one of your swatches"):
            desk.suggest(lib, "62,12,48", but={"lighter": 1})
        with pytest.raises(BadValue, match="undo each other"):
            desk.suggest(lib, codes["weld"][0], but={"lighter": 1, "darker": 2})


def test_a_step_is_reached_where_another_swatch_lies_nearer_than_this_one(tmp_path):
    with desk.open_library(tmp_path / "house", create=True) as library:
        for lab in ([60.0, 20.0, 20.0], [66.0, 20.0, 20.0]):
            code = library.add_swatch()
            library.add_measurement(code, sb.Measurement(lab))
        first = library.find(lab=[60.0, 20.0, 20.0], k=1)[0][0].code
        steps = {s["direction"]: s for s in desk.steps_from(library, first)}
    assert steps["lighter"]["reached"] and not steps["darker"]["reached"]
    assert steps["lighter"]["lab"][0] > 60 > steps["darker"]["lab"][0]
