"""Why one swatch came out as it did."""

import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.errors import NotFound

WHOLE_SEARCH = True  # what is found wrong is judged


@pytest.fixture(scope="module")
def house(sample_house):
    with sb.Library(sample_house) as lib:
        yield lib, desk.learn(lib)


def test_one_swatch_is_told_as_in_the_whole_and_beside_its_nearest_bath(house):
    lib, learnt = house
    found = desk.explain_swatch(lib, "23a", learnt=learnt)
    said = " ".join(found.said)
    assert "time in the dye bath of 6 min lies far from the others" in said
    assert found.neighbour is not None and found.neighbour.lot != ""
    assert f"that of {found.neighbour.code}" in said and "6 min instead of 60 min" in said
    worst = desk.explain(lib, learnt=learnt).misses[0]
    told = desk.explain_swatch(lib, learnt.name(worst.row), learnt=learnt).as_dict()
    assert told["miss"]["delta_e2000"] == pytest.approx(worst.delta_e2000)
    assert told["miss"]["reasons"] == list(worst.reasons)


def test_a_swatch_without_a_bath_or_reading_is_refused_with_what_it_needs(house, tmp_path):
    lib, learnt = house
    with pytest.raises(NotFound, match="zz9"):
        desk.explain_swatch(lib, "zz9", learnt=learnt)
    with sb.Library(tmp_path / "library", create=True) as other:
        code = desk.codes(other, 1)["codes"][0]
        with pytest.raises(NotFound, match="it needs a bath"):
            desk.explain_swatch(other, code, learnt=learnt)
