"""Files of an instrument's readings: how spectra are told apart, scaled and refused."""

import json

import numpy as np
import pytest

import command
import swatchbath as sb
from swatchbath import BadTable, desk
from swatchbath.colorimetry.spectrum import Spectrum
from swatchbath.desk.entry.readings_table import read_readings, spectra_in
from swatchbath.library import back_up, restore, verify

NM = np.arange(380, 731, 10)
READ = np.round(0.08 + 0.6 / (1 + np.exp(-(NM - 560) / 25)), 4)  # a warm brown


def csv(rows, head="swatch", name="{}", end=""):
    lines = [",".join([head, *(name.format(nm) for nm in NM)]) + end]
    return "\n".join([*lines, *(",".join(map(str, row)) for row in rows)]) + "\n"


def cgats(fields, rows, head=""):
    return (
        f'CGATS.17\nORIGINATOR "bench"\n{head}NUMBER_OF_FIELDS {len(fields)}\nBEGIN_DATA_FORMAT\n'
        f"{' '.join(fields)}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n"
        + "\n".join(" ".join(map(str, row)) for row in rows) + "\nEND_DATA\n"
    )  # fmt: skip


WAYS = {
    "plain headings": csv([["a", *READ]]),
    "headings with unit": csv([["a", *READ]], name="{} nm"),
    "headings with a decimal": csv([["a", *READ]], name="{}.0"),
    "percent": csv([["a", *READ * 100]], name="R{}nm"),
    "decimal commas": csv([["a", *READ * 100]]).replace(",", ";").replace(".", ","),
    "columns beside": csv([["1", "a", 55, 3, 4, *READ]], head="Id,Swatch,L,a,b"),
    "CGATS.17": cgats(
        ["SAMPLE_ID", "SAMPLE_NAME", *(f"SPECTRAL_NM{nm}" for nm in NM)], [["1", '"a"', *READ]]
    ),  # fmt: skip
    "CGATS.17 in percent": cgats(
        ["SAMPLE_ID", *(f"SPECTRAL_PCT{nm}" for nm in NM)], [["a", *READ * 100]]
    ),  # fmt: skip
    "CGATS.17 in turn": cgats(
        ["SAMPLE_ID", *(["SPECTRAL_NM", "SPECTRAL_PCT"] * len(NM))],
        [["a", *np.stack([NM, READ * 100], 1).ravel()]],
    ),  # fmt: skip
}


@pytest.mark.parametrize("text", WAYS.values(), ids=WAYS)
def test_one_spectrum_is_read_alike_however_it_is_written(tmp_path, text):
    file = tmp_path / "readings.txt"
    file.write_text(text)
    table = read_readings(file)
    (found,) = spectra_in(table)
    assert (found.start, found.step) == (380, 10) and np.allclose(found.values, READ)
    assert table.rows[0][2]["swatch"] == "a"


BAD = {
    "a cell that is no number": (csv([["a", *READ[:-1], "x"]]), "Row 2 .* 730 nm: here stands 'x'"),
    "an empty cell": (csv([["a", "", *READ[1:]]]), "Row 2 .* 380 nm: here stands ''"),
    "a number without end": (csv([["a", "inf", *READ[1:]]]), "380 nm"),
    "a scale that may be either": (csv([["a", *READ / READ.max() * 2]]), "column scale"),
    "a scale not known": (csv([["a", "much", *READ]], head="swatch,scale"), "says much"),
    "one wavelength twice": (csv([["a", *READ, 0.1]], end=",380 nm"), "two columns for 380"),
    "a gap": (csv([["a", *READ, 0.1]], end=",750"), "not evenly spaced"),
    "no swatch": (csv([["a", *READ]], head="which"), "no column 'swatch'"),
    "a cut-off line": (cgats(["SAMPLE_ID", *(f"NM{nm}" for nm in NM)], [["a", *READ[:-1]]]),
                       "Line 9 .* 36 cells"),
    "a cut-off file": (cgats(["SAMPLE_ID", *(f"NM{nm}" for nm in NM)], [["a", *READ]])[:-10],
                       "cut off"),
    "a value over white": (csv([["a", *READ[:-1] * 100, 250]]), "2.5 at 730 nm"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "said"), BAD.values(), ids=BAD)
def test_bad_input_is_one_sentence_with_its_place(tmp_path, text, said):
    file = tmp_path / "readings.csv"
    file.write_text(text)
    with pytest.raises(BadTable, match=said) as error:
        spectra_in(read_readings(file))
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("most", "by"), [(1.2, 1), (1.21, None), (2.99, None), (3.0, 100), (160, 100)]
)
def test_percent_and_fractions_are_told_apart_and_else_asked_for(tmp_path, most, by):
    file, read = tmp_path / "readings.csv", READ / READ.max() * most
    file.write_text(csv([["a", *read]]))
    if by is None:
        with pytest.raises(BadTable, match="column scale"):
            spectra_in(read_readings(file))
    else:
        assert np.allclose(spectra_in(read_readings(file))[0].values, read / by)
    for said, divided in (("percent", 100), ("fraction", 1)):
        if most / divided <= 2:  # what is said stands, as far as a swatch can be so bright
            file.write_text(csv([["a", said, *read]], head="swatch,scale"))
            assert np.allclose(spectra_in(read_readings(file))[0].values, read / divided)


@pytest.fixture
def folder(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        for name in "ab":
            desk.record(lib, {"fibre": "wool", "dyestuff": "weld"}, name=name)
    return tmp_path / "lib"


def test_a_spectrum_is_kept_through_backup_export_and_bin(folder, tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text(csv([["a", *READ * 100], ["b", *READ * 90]]))
    command.run("record", "--readings", file, "--library", folder, ok=0)

    def kept(where):
        with sb.Library(where) as lib:
            return lib.swatch("a").measured

    reading = kept(folder)
    assert np.allclose(reading.spectrum.values, READ) and reading.spectrum.start == 380
    assert np.allclose(reading.lab, Spectrum(380, 10, READ).lab("D65", "2"))
    assert (reading.light, reading.observer, reading.rung) == ("D65", "2", "instrument")
    (tmp_path / "stick").mkdir()
    with sb.Library(folder) as lib:
        restore(back_up(lib, tmp_path / "stick").file, tmp_path / "again")
    desk.export(folder, tmp_path / "plain")
    desk.take(tmp_path / "taken", tmp_path / "plain")
    for where in (tmp_path / "again", tmp_path / "taken"):
        assert np.array_equal(kept(where).spectrum.values, reading.spectrum.values)
        assert verify(where).ok


def test_nothing_is_kept_where_one_row_is_bad(folder, tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text(csv([["a", *READ], ["gone", *READ]]))
    assert "Row 3" in command.run("record", "--readings", file, "--library", folder, ok=2).stderr
    with sb.Library(folder) as lib:
        assert lib.swatch("a").measured is None


def test_colours_come_as_cgats_text_too_under_what_its_head_says(folder, tmp_path):
    file = tmp_path / "readings.txt"
    head = 'WEIGHTING_FUNCTION "ILLUMINANT, D50"\nWEIGHTING_FUNCTION "OBSERVER, 2 degree"\n'
    file.write_text(cgats(["SAMPLE_NAME", "LAB_L", "LAB_A", "LAB_B"], [["a", 60, 10, 40]], head))
    told = command.run("record", "--readings", file, "--library", folder, "--json", ok=0)
    assert json.loads(told.stdout)["readings"] == 1
    with sb.Library(folder) as lib:
        assert lib.swatch("a").measured.light == "D50"
        assert np.allclose(lib.swatch("a").measured.lab, [60, 10, 40])
