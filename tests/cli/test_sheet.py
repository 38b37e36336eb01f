"""The photo sheet's verb: the file, its codes, and that nothing of hers is overwritten."""

import json
import os
import re
import sqlite3
import subprocess
import sys

import pytest

import swatchbath as sb
from command import run
from swatchbath.bath.step import Material, Step
from swatchbath.desk.photo.sheet import next_codes, sheet
from swatchbath.errors import BadValue
from swatchbath.library.codes import code
from swatchbath.paper.photo_sheet import sheet_pdf

BATH = ["--set", "fibre=wool", "--set", "dyestuff=weld"]


def test_the_file_is_the_sheet_that_was_asked_for(tmp_path):
    out = tmp_path / "eight.pdf"
    words = ["--places", 8, "--paper", "Letter", "--codes", "njce3, E6KPC", "--out", out]
    told = json.loads(run("sheet", *words, "--json").stdout)
    assert (told["schema"], told["use"], told["file"]) == (1, "sheet", str(out))
    assert told["codes"] == ["NJCE3", "E6KPC"]
    assert out.read_bytes() == sheet_pdf(8, paper="Letter", codes=["NJCE3", "E6KPC"])
    assert os.listdir(tmp_path) == ["eight.pdf"]


def test_the_file_may_be_read_by_others_as_any_new_file(tmp_path):
    (tmp_path / "plain").write_bytes(b"")
    run("sheet", "--out", tmp_path / "a.pdf")
    assert (tmp_path / "a.pdf").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_words_say_what_was_written_and_to_print_at_size(tmp_path):
    text = run("sheet", "--places", 1, "--codes", "NJCE3", "--out", tmp_path / "a.pdf").output
    assert "1 place," in text and "place 1: NJCE3" in text and "actual size" in text
    assert str(tmp_path / "a.pdf") in text.splitlines()[1]


def test_a_file_that_is_there_stays_unless_told(tmp_path):
    out = tmp_path / "a.pdf"
    out.write_bytes(b"hers")
    said = run("sheet", "--out", out, ok=2).stderr
    assert "already" in said and "--overwrite" in said
    assert out.read_bytes() == b"hers"
    run("sheet", "--out", out, "--overwrite")
    assert out.read_bytes() == sheet_pdf(4)


def test_next_codes_are_those_the_library_then_gives(tmp_path):
    library = tmp_path / "library"
    asked = ["--places", 4, "--next-codes", "--library", library, "--json"]
    said = run("sheet", *asked, "--out", tmp_path / "1.pdf", ok=2).stderr
    assert "codes of its own" in said and "swatchbath codes 4" in said
    assert not library.exists()  # asking makes no library
    run("record", *BATH, "--library", library)
    first = json.loads(run("sheet", *asked, "--out", tmp_path / "1.pdf").stdout)
    given = [
        next(iter(json.loads(run("record", *BATH, "--library", library, "--json").stdout)["codes"]
                  .values()))
        for _ in range(2)
    ]  # fmt: skip
    assert given == first["codes"][:2]
    later = json.loads(run("sheet", *asked, "--out", tmp_path / "2.pdf").stdout)
    assert later["codes"][:2] == first["codes"][2:]


def test_next_codes_step_over_codes_that_are_old_names(tmp_path):
    """As the library does; names could once look like codes."""
    with sb.Library(tmp_path, create=True) as lib:
        lib.start_codes(0)
        for name in ("one", "two"):
            lib.add_swatch(name=name, fibre={"fibre": "wool"}, steps=[Step("rinse")])
    db = sqlite3.connect(tmp_path / "library.sqlite")
    db.execute("UPDATE swatch SET name = ? WHERE name = 'one'", (code(2),))
    db.commit()
    db.close()
    foreseen = next_codes(tmp_path, 3)
    assert foreseen == [code(3), code(4), code(5)]
    with sb.Library(tmp_path) as lib:
        made = [lib.add_swatch(fibre={"fibre": "wool"}, steps=[Step("rinse")]) for _ in range(3)]
    assert made == foreseen
    assert next_codes(tmp_path, 1) == [code(6)]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--places", "3"], "1, 4 or 8"),
        (["--places", "many"], "--places"),
        (["--paper", "A3"], "A4 or Letter"),
        (["--codes", "NJCE3,NJCE4"], "its last character does not fit"),
        (["--codes", "0OIL1"], "never holds"),
        (["--codes", "NJCE3,NJCE3"], "twice"),
        (["--codes", ","], "no code stands"),
        (["--places", "1", "--codes", "NJCE3,E6KPC"], "2 swatch codes"),
        (["--codes", "NJCE3", "--next-codes"], "not both"),
        (["--out", "a.png"], ".pdf"),
        (["--out", "no/such/a.pdf"], "no folder"),
        (["--out", "folder.pdf"], "is a folder"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, list) else v,
)
def test_bad_input_is_one_sentence_and_leaves_nothing(tmp_path, monkeypatch, words, says):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "folder.pdf").mkdir()
    result = run("sheet", *words, ok=2)
    assert result.stdout == ""
    assert result.stderr.startswith("swatchbath: ") and says.lower() in result.stderr.lower()
    assert os.listdir(tmp_path) == ["folder.pdf"]


def of_colours(folder, count):
    """A library with so many swatches of spread colours, one of them without a name."""
    with sb.Library(folder, create=True) as lib:
        for i in range(count):
            steps = [Step("dye", (Material("dyestuff", ("weld", "madder")[i % 2], 80.0),))]
            key = lib.add_swatch(name=f"{i}a" if i else None, fibre={"fibre": "wool"}, steps=steps)
            reading = sb.Measurement([30 + 4 * i, (7 * i) % 40 - 10, (11 * i) % 60])
            lib.add_measurement(key, reading)
    return folder


def test_the_sheet_with_her_own_yarn_names_six_of_her_swatches(tmp_path):
    library = of_colours(tmp_path / "My wool", 12)
    out = tmp_path / "own.pdf"
    words = ["--own", "--library", library, "--out", out]
    told = json.loads(run("sheet", *words, "--json").stdout)
    assert len(set(told["codes"])) == 6 and told["open_places"] == [7, 8, 9]
    with sb.Library(library) as lib:
        for piece in told["own"]:
            swatch = lib.swatch(piece["code"])
            assert (piece["name"], piece["fibre"]) == (swatch.name, "wool")
            assert piece["dyestuff"] in ("weld", "madder") and piece["words"]
    assert out.read_bytes().startswith(b"%PDF")
    text = run("sheet", *words, "--overwrite").output
    assert all(key in text for key in told["codes"])
    assert "Staple a dry snippet" in text and "7, 8 or 9" in text
    near = re.search(
        r"spread over your 12 colours.* within (\d+) of .* all within (\d+)", told["own_words"]
    )
    assert near and 0 <= int(near[1]) <= int(near[2])
    assert told["own_words"] in " ".join(text.split())


@pytest.mark.parametrize(("count", "says"), [(11, "only 11 have one"), (0, "none has one")])
def test_fewer_than_twelve_colours_are_too_few_for_it(tmp_path, count, says):
    library = of_colours(tmp_path / "library", count)
    said = run("sheet", "--own", "--library", library, "--out", tmp_path / "a.pdf", ok=2).stderr
    assert "needs 12" in said and says in said and "without --own" in said
    assert not (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize("more", [["--places", 8], ["--codes", "NJCE3"], ["--next-codes"]], ids=str)
def test_it_has_places_and_codes_of_its_own(tmp_path, more):
    library = of_colours(tmp_path / "library", 12)
    words = ["--own", *more, "--library", library, "--out", tmp_path / "a.pdf"]
    said = run("sheet", *words, ok=2).stderr
    assert "own" in said and not (tmp_path / "a.pdf").exists()


def test_a_disk_that_fails_leaves_the_old_file_and_no_part(tmp_path, monkeypatch):
    out = tmp_path / "a.pdf"
    out.write_bytes(b"hers")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    with pytest.raises(BadValue, match="No space left"):
        sheet(out, overwrite=True)
    assert os.listdir(tmp_path) == ["a.pdf"] and out.read_bytes() == b"hers"


def test_help_of_the_sheet_imports_nothing_heavy():
    heavy = ("fpdf", "segno", "zxingcpp", "numpy", "PIL", "pandas")
    script = (
        "import sys\nfrom swatchbath.cli import main\n"
        "try: main(['sheet', '--help'])\nexcept SystemExit as e: assert e.code == 0\n"
        f"print('HEAVY', [m for m in {heavy!r} if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert "HEAVY []" in done.stdout, done.stdout + done.stderr
