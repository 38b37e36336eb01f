"""Two swatches under other lights: a pair that matches by day and parts by lamplight."""

import json
import sqlite3
from contextlib import closing

import colour
import numpy as np
import pytest

import command
import swatchbath as sb
from swatchbath.colorimetry.spectrum import Spectrum
from swatchbath.library import Library, verify
from swatchbath.library.schema import MIGRATIONS, migrate

NM = np.arange(380, 731, 10)
BROWN = 0.22 + 0.5 / (1 + np.exp(-(NM - 560) / 25))


def weights(light):
    """What XYZ weighs at each wavelength under a light, (36, 3)."""
    shape = colour.SpectralShape(380, 730, 10)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape).values
    return cmfs * colour.SDS_ILLUMINANTS[light].copy().align(shape).values[:, None]


def twin_by_day(read, size):
    """Reflectances that look the same by D65 and otherwise by a filament bulb: added is what D65
    does not weigh (Wyszecki's metameric black) of what the bulb weighs most."""
    q, _ = np.linalg.qr(weights("D65"))
    wave = weights("A")[:, 0]
    black = wave - q @ (q.T @ wave)
    return read + size * black / np.abs(black).max()


@pytest.fixture
def folder(tmp_path):
    read = {
        "a": BROWN,
        "twin": twin_by_day(BROWN, 0.2),
        "near": twin_by_day(BROWN, 0.1),
        "further": twin_by_day(BROWN, 0.15),
        "like": BROWN * 1.001,
    }
    with Library(tmp_path / "lib", create=True) as lib:
        for name, values in read.items():
            spectrum = Spectrum(380, 10, values)
            code = lib.add_swatch(name=name)
            lib.add_measurement(code, sb.Measurement(spectrum.lab(), spectrum=spectrum))
        lib.add_measurement(lib.add_swatch(name="bare"), sb.Measurement([50, 10, 10]))
    return tmp_path / "lib"


def run(folder, *words, ok):
    return command.run("compare", *words, "--library", folder, ok=ok)


def test_a_pair_alike_by_day_is_told_to_part_by_lamplight(folder):
    told = json.loads(run(folder, "a", "twin", "--lamp", "A,F11,LED-B3", "--json", ok=0).stdout)
    assert told["verdict"] == "match" and [x["light"] for x in told["lamps"]] == [
        "A", "F11", "LED-B3",
    ]  # fmt: skip
    for lamp in told["lamps"]:
        with Library(folder) as lib:
            one, two = (lib.swatch(n).measured.spectrum.lab(lamp["light"]) for n in ("a", "twin"))
        assert lamp["delta_e2000"] == pytest.approx(float(sb.delta_e2000(one, two)))
    by_bulb = told["lamps"][0]
    assert by_bulb["verdict"] == "no match" and "does not hold" in by_bulb["sentence"]
    on_screen = run(folder, "a", "twin", "--lamp", "a", ok=0).stdout
    assert "Under A (a filament bulb) the match does not hold there" in on_screen


def test_where_the_readings_do_not_settle_it_that_is_said(folder):
    def by(name, light):
        told = json.loads(run(folder, "a", name, "--lamp", light, "--json", ok=0).stdout)
        assert told["lamps"][0]["verdict"] == "cannot tell"
        return told["lamps"][0]

    assert by("near", "A")["delta_e2000"] > 2 > by("further", "LED-B3")["delta_e2000"]
    assert "probably part" in by("near", "A")["sentence"]
    assert "cannot be told" in by("further", "LED-B3")["sentence"]


def test_a_pair_that_differs_by_day_is_told_to_differ_there(folder):
    spectrum = Spectrum(380, 10, BROWN * 0.5)
    with Library(folder) as lib:
        reading = sb.Measurement(spectrum.lab(), spectrum=spectrum)
        lib.add_measurement(lib.add_swatch(name="never alike"), reading)
    told = json.loads(run(folder, "a", "never alike", "--lamp", "A", "--json", ok=1).stdout)
    assert "they differ" in told["lamps"][0]["sentence"]


def test_a_true_match_holds_under_each(folder):
    told = json.loads(run(folder, "a", "like", "--lamp", "A,F2,F11,LED-B1", "--json", ok=0).stdout)
    assert {lamp["verdict"] for lamp in told["lamps"]} == {"match"}
    assert all("match there too" in lamp["sentence"] for lamp in told["lamps"])


def test_the_latest_dry_spectrum_counts_and_no_wet_one(folder):
    def told():
        return json.loads(run(folder, "a", "like", "--lamp", "A", "--json", ok=0).stdout)["lamps"][
            0
        ]

    def add(name, values, state):
        spectrum = Spectrum(380, 10, values)
        with Library(folder) as lib:
            reading = sb.Measurement(spectrum.lab(), spectrum=spectrum)
            lib.add_measurement(lib.swatch(name).code, reading, state=state)

    before = told()
    add("a", BROWN * 0.5, "wet")
    assert told() == before
    add("a", BROWN * 1.01, "dry")
    assert told()["delta_e2000"] > before["delta_e2000"]
    # A later reading without a spectrum does not hide it.
    with Library(folder) as lib:
        lib.add_measurement(lib.swatch("a").code, lib.swatch("a").measured.replace(spectrum=None))
    assert told()["delta_e2000"] > before["delta_e2000"]


def test_the_view_is_offered_where_both_have_spectra_and_only_there(folder):
    assert "--lamp A,F11,LED-B3" in run(folder, "a", "twin", ok=0).stdout
    assert "--lamp" not in run(folder, "a", "bare", ok=1).stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["a", "bare", "--lamp", "A"], "no spectrum of"),
        (["a", "62,12,48", "--lamp", "A"], "no spectrum of"),
        (["a", "twin", "--lamp", "moon"], "no light 'MOON'"),
        (["a", "twin", "--lamp", ","], "Name one light"),
        (["a", "twin", "--swapped", "x.jpg"], "two places"),
    ],
)
def test_what_cannot_be_is_one_sentence(folder, words, said):
    told = run(folder, *words, ok=2)
    assert said in told.stderr and len(told.stderr.strip().splitlines()) == 1


def test_a_library_from_before_opens_takes_a_spectrum_and_keeps_its_readings(tmp_path):
    before = [i for i, m in enumerate(MIGRATIONS) if "ADD COLUMN spectrum" in m][0]
    with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as db:
        migrate(db, upto=before)
        db.execute("UPDATE setting SET value = '0' WHERE name = 'code start'")
        db.execute("INSERT INTO swatch (code, number, added) VALUES ('NJCE3', 1, '2026-01-01')")
        eye = "[[1,0,0],[0,1,0],[0,0,1]]"
        db.execute(
            "INSERT INTO measurement (swatch, state, rung, light, observer, L, a, b, "
            "repeatability, trueness, shared, checks, notes, added) VALUES ('NJCE3', 'dry', "
            "'instrument', 'D65', '2', 50, 1, 2, ?, ?, '{}', '[]', '[]', '2026-01-01')",
            (eye, eye),
        )
    with Library(tmp_path, read_only=True) as lib:
        assert lib.swatch("NJCE3").measured.spectrum is None
    with Library(tmp_path) as lib:
        spectrum = Spectrum(380, 10, BROWN)
        lib.add_measurement("NJCE3", sb.Measurement(spectrum.lab(), spectrum=spectrum))
        first, second = (m for _, _, m in lib.swatch("NJCE3").measurements)
        assert first.spectrum is None and np.array_equal(second.spectrum.values, BROWN)
    assert verify(tmp_path).ok


def test_a_damaged_spectrum_costs_its_reading_alone_and_is_said(folder):
    with closing(sqlite3.connect(folder / "library.sqlite", isolation_level=None)) as db:
        db.execute("UPDATE measurement SET spectrum = '[380, 10, [0.1' WHERE id = 1")
    with Library(folder) as lib:
        assert lib.swatch("a").measured is None and lib.swatch("twin").measured is not None
        assert "damaged" in lib.issues[0]
