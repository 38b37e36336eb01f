"""Photos, tables, spectra, charts' values and camera profiles spoilt at random, as the command
takes them: an answer or one sentence, soon, in little memory, and nothing lost of what was there.

Libraries, backups and exports are spoilt in library/safety/test_mutated.py.
"""

import json
import random
import shutil

import numpy as np
import pytest
from click.testing import CliRunner

from books_made import open_document, workbook
from damage_made import bounded, misread, mutated
from photo_files import FORMATS, written
from swatchbath import CameraProfile
from swatchbath.cli import main
from swatchbath.desk.photo.in_frame import read_known
from swatchbath.errors import SwatchbathError
from swatchbath.library import Library, verify
from swatchbath.photo.correction.chart_values import read_chart_lab

FEW, MANY = 3, 400
NM = range(380, 731, 10)
SPECTRUM = [round(0.1 + i / 60, 4) for i in range(len(NM))]
BOOK = [
    ["Name", "Fibre", "Dye", "Dye % WOF", "pH", "Note"],
    *([f"x{i}", "wool", "weld", 20 + i, 6, f"jar {i}; left"] for i in range(12)),
]
BATHS = "name,fibre,dyestuff,dye_owf,mordant,mordant_owf,pH,lot,session\n" + "".join(
    f"y{i},silk,madder,{30 + i},alum,12,7,{i},2026-03-0{i + 1}\n" for i in range(8)
)
SWATCHES = ("a", "b", "c")


def rows(*lines):
    return "\n".join(",".join(map(str, line)) for line in lines) + "\n"


def cgats(fields, lines):
    return (
        f"CGATS.17\nNUMBER_OF_FIELDS {len(fields)}\nBEGIN_DATA_FORMAT\n{' '.join(fields)}\n"
        f"END_DATA_FORMAT\nNUMBER_OF_SETS {len(lines)}\nBEGIN_DATA\n"
        + "\n".join(" ".join(map(str, line)) for line in lines) + "\nEND_DATA\n"
    )  # fmt: skip


def chart(parted):
    lab = [[n, 95 - 3 * n, (n % 5) * 9 - 18, (n % 7) * 9 - 27] for n in range(1, 19)]
    lab += [[n, 95 - 14 * (n - 19), 0, 0] for n in range(19, 25)]
    if parted == "csv":
        return rows(["patch", "L", "a", "b"], *lab)
    return cgats(["SAMPLE_ID", "LAB_L", "LAB_A", "LAB_B"], lab)


def profile():
    rng = np.random.default_rng(1)
    lab = rng.uniform(10, 80, (24, 3))
    return CameraProfile(
        "drawn camera", "window", "rendered", lab, lab + 1, ("p",) * 24, np.zeros((1, 2))
    )


# Kind -> file name, what is done with it. FILE stands for the spoilt file.
PLACES = ("--card", "28,16,7", "--swatch", "a=9,9,7")
TABLES = {
    "baths": ("baths.csv", ["record", "--baths", "FILE"]),
    "marks": ("marks.csv", ["measure", "PHOTO", "--marks", "FILE"]),
    "book in CSV": ("book.csv", ["take", "FILE"]),
    "book in XLSX": ("book.xlsx", ["take", "FILE"]),
    "book in ODS": ("book.ods", ["take", "FILE"]),
    "readings": ("readings.csv", ["record", "--readings", "FILE"]),
    "spectra": ("spectra.csv", ["record", "--readings", "FILE"]),
    "spectra in CGATS.17": ("spectra.txt", ["record", "--readings", "FILE"]),
    "chart's values": ("chart.csv", read_chart_lab),
    "chart's values in CGATS.17": ("chart.txt", read_chart_lab),
    "camera profile": ("profile.json", ["measure", "PHOTO", *PLACES, "--camera", "FILE"]),
    "known": ("known.csv", read_known),
}
KINDS = [*FORMATS, *TABLES]


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A library, and each file as it should be."""
    place = tmp_path_factory.mktemp("whole")
    with Library(place / "house", create=True) as lib:
        for name in SWATCHES:
            lib.add_swatch(name=name, fibre={"fibre": "wool"})
    noise = np.random.default_rng(1).integers(112, 125, (32, 40, 3), dtype=np.uint8)
    for form in FORMATS:
        written(place / f"photo-{form}.{'tif' if form == 'tif16' else form}", noise, form)
    texts = {
        "baths.csv": BATHS,
        "marks.csv": rows(["photo", "name", "kind", "x", "y", "half"],
                          ["photo-png.png", "card", "card", 28, 16, 7],
                          ["photo-png.png", "a", "swatch", 9, 9, 7]),
        "book.csv": rows(*BOOK),
        "readings.csv": rows(["swatch", "L", "a", "b", "under"],
                             *([s, 60, 10, 40, "D50/2"] for s in SWATCHES)),
        "spectra.csv": rows(["swatch", *NM], *([s, *SPECTRUM] for s in SWATCHES)),
        "spectra.txt": cgats(["SAMPLE_NAME", *(f"SPECTRAL_NM{nm}" for nm in NM)],
                             [[s, *SPECTRUM] for s in SWATCHES]),
        "chart.csv": chart("csv"),
        "chart.txt": chart("cgats"),
        "known.csv": rows(["name", "L", "a", "b"], *([f"k{i}", 30, i, 5] for i in range(7))),
    }  # fmt: skip
    for name, text in texts.items():
        (place / name).write_text(text, encoding="utf-8")
    workbook(BOOK)(place / "book.xlsx")
    open_document(BOOK)(place / "book.ods")
    profile().save(place / "profile.json")
    return place


def file_of(whole, kind):
    if kind in TABLES:
        return whole / TABLES[kind][0]
    return whole / f"photo-{kind}.{'tif' if kind == 'tif16' else kind}"


def on_record(folder):
    with Library(folder, read_only=True) as lib:
        tables = lib.as_values()["tables"]
    # What a swatch was first told to be stays, whatever is added.
    return {name: {json.dumps(row) for row in tables[name]["rows"]} for name in ("swatch", "step")}


def done_with(whole, kind, file, folder, rng):
    """What comes of a spoilt file: whether it was refused."""
    job = TABLES[kind][1] if kind in TABLES else None
    if callable(job):
        try:
            with bounded():
                job(file)
        except SwatchbathError as error:
            assert str(error).strip() and "\n" not in str(error) and len(str(error)) < 1000
            return True
        return False
    if job is None:
        job = rng.choice([["check", "FILE"], ["measure", "FILE", *PLACES]])
    photo = whole / "photo-png.png"
    words = [{"FILE": str(file), "PHOTO": str(photo)}.get(w, w) for w in job]
    with bounded():
        told = CliRunner().invoke(main, [*words, *_library(words, folder), "--json"])
    what = (kind, told.output[-800:])
    assert told.exception is None or isinstance(told.exception, SystemExit), what
    assert told.exit_code in (0, 1, 2), what
    assert "Traceback" not in told.output, what
    if told.exit_code == 2:
        sentence = json.loads(told.stdout)["error"]["sentence"]
        assert "\n" not in sentence and len(sentence) < 1000, what
    return told.exit_code == 2


def _library(words, folder):
    return [] if words[0] == "check" else ["--library", str(folder)]


def spoil(whole, place, kind, seeds):
    """Files of a kind spoilt and used, one after the other; returns how many were refused."""
    folder = place / "house"
    shutil.copytree(whole / "house", folder)
    source = file_of(whole, kind)
    data, refused = source.read_bytes(), 0
    for seed in seeds:
        rng = random.Random(f"{kind} {seed}")
        file = place / source.name
        is_text = source.suffix in (".csv", ".txt", ".json")
        how = rng.choice([mutated, misread]) if is_text else mutated
        file.write_bytes(how(data, rng))
        spoilt, before = file.read_bytes(), on_record(folder)
        no = done_with(whole, kind, file, folder, rng)
        refused += no
        assert file.read_bytes() == spoilt, (kind, seed)  # hers is never written to
        after = on_record(folder)
        for table, known in before.items():
            assert known <= after[table], (kind, seed)
            assert not no or known == after[table], (kind, seed)
    assert verify(folder).ok, kind
    return refused


@pytest.mark.parametrize("kind", KINDS)
def test_each_is_taken_while_it_is_whole(whole, tmp_path, kind):
    folder = shutil.copytree(whole / "house", tmp_path / "house")
    file = file_of(whole, kind)
    refused = done_with(whole, kind, file, folder, random.Random(1))
    assert not refused


@pytest.mark.parametrize("kind", KINDS)
def test_a_small_dose(whole, tmp_path, kind):
    spoil(whole, tmp_path, kind, range(FEW))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_eight_thousand(whole, tmp_path, kind):
    refused = spoil(whole, tmp_path, kind, range(1000, 1000 + MANY))
    assert refused > MANY // 20  # the damage is such that it can be
