"""An instrument's readings, typed in or from a table."""

import json

import numpy as np
import pytest

import command
import swatchbath as sb
from swatchbath.colorimetry.conversion import to_d65_2

BATH = ["--set", "fibre=wool", "--set", "dyestuff=weld"]


def run(folder, *words, ok=0):
    return command.run("record", *words, "--library", folder, ok=ok)


def test_a_typed_reading_is_kept_as_read_and_used_converted(tmp_path):
    folder = tmp_path / "lib"
    told = run(folder, *BATH, "--name", "a", "--lab", "61.2,12.4,47.9", "--under", "d65/10",
               "--json")  # fmt: skip
    assert json.loads(told.stdout)["readings"] == 1
    with sb.Library(folder) as lib:
        reading = lib.swatch("a").measured
        assert (reading.light, reading.observer, reading.rung) == ("D65", "10", "instrument")
        assert np.allclose(reading.lab, [61.2, 12.4, 47.9])
        found = lib.find(lab=to_d65_2(reading).lab, k=1)[0][1]
        assert found.delta_e2000 < 0.01


def test_a_table_of_readings_goes_to_swatches_on_record_all_or_nothing(tmp_path):
    folder, table = tmp_path / "lib", tmp_path / "readings.csv"
    run(folder, *BATH, "--name", "a")
    run(folder, *BATH, "--name", "b")
    table.write_text("swatch,L,a,b,under\na,60,10,40,D50/2\nb,61,11,41,moon/2\n")
    assert "Row 3" in run(folder, "--readings", str(table), ok=2).stderr
    with sb.Library(folder) as lib:
        assert lib.swatch("a").measured is None
    table.write_text("swatch,L,a,b,under\na,60,10,40,D50/2\nb,61,11,41,\n")
    run(folder, "--readings", str(table))
    with sb.Library(folder) as lib:
        assert lib.swatch("a").measured.light == "D50" and lib.swatch("b").measured.light == "D65"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([*BATH, "--lab", "61,12,48", "--under", "moon"], "LIGHT/OBSERVER"),
        ([*BATH, "--under", "D65/10"], "no reading"),
        ([*BATH, "--readings", "x.csv"], "stands alone"),
        (["--readings", "nothing.csv"], "nothing.csv"),
        (["pots.jpg", *BATH, "--swatch", "1,2,3", "--lab", "61,12,48"], "both given"),
    ],
)
def test_what_cannot_be_is_one_sentence(tmp_path, words, said):
    told = run(tmp_path / "lib", *words, ok=2)
    assert said in told.stderr and len(told.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "lib").exists()
