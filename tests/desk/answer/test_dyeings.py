"""Her own swatches as dyeings that can be laid over one another."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath.desk.answer.dyeings import dyeings_of, nearest_first
from swatchbath.predict.search.overdye import UNDYED
from vat_house import dyed


@pytest.fixture
def found(tmp_path):
    with sb.Library(tmp_path / "library", create=True) as lib:
        weld = {"dyestuff": "weld", "dye_owf": 50.0, "mordant": "alum"}
        codes = [
            dyed(lib, [76, -2, 58], **weld),
            dyed(lib, [50, -2, 30], **weld, modifier="iron", modifier_owf=2.0),
            dyed(lib, [44, -6, -22], dyestuff="indigo", vat="fructose", vat_dips=1.0),
            dyed(lib, [60, 30, 50], **weld, dyestuff_2="madder", dye_owf_2=10.0,
                 dye_2_how="together"),
            dyed(lib, [80, -2, 40], **weld | {"fibre": "silk"}),
        ]  # fmt: skip
        table, measured, _ = lib.table()
    return codes, table, measured


def test_only_swatches_of_one_dyestuff_and_of_the_fibre_asked(found):
    codes, table, measured = found
    assert [d.code for d in dyeings_of(table, measured)] == [codes[i] for i in (0, 1, 2, 4)]
    silk = dyeings_of(table, measured, fibres=["silk"])
    assert [d.code for d in silk] == [codes[4]]


def test_they_are_told_in_short(found):
    codes, table, measured = found
    told = [d.words().removeprefix(d.code + " ") for d in dyeings_of(table, measured)]
    assert told == ["(weld 50 %)", "(weld 50 %, iron after)", "(indigo, 1 dip)", "(weld 50 %)"]


def test_the_nearest_comes_first_and_undyed_fibre_is_usual_unless_told(found):
    codes, table, measured = found
    every = dyeings_of(table, measured)
    assert nearest_first(every, np.array([45.0, -6, -20]))[0].code == codes[2]
    assert np.allclose(every[0].base, UNDYED)
