"""A shade on the sheet with her own yarn: read in her library's frame, with nothing marked."""

import json
import shutil

import numpy as np
import pytest

import swatchbath as sb
from command import run
from own_yarn import colours_of_yarn, library_of, own_photo, read_by_record, sheet_photo
from swatchbath.colorimetry import delta_e2000
from swatchbath.desk.photo.shade import shade_in_photo
from swatchbath.errors import BadValue


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """(folder, library, its codes and colours, how its camera reads three wanted shades, the six
    codes of its sheet, a photo of that with the three on it)."""
    folder = tmp_path_factory.mktemp("own")
    colours, wanted = colours_of_yarn()
    readings = read_by_record(folder, [*colours, *wanted])
    library = folder / "library"
    codes = library_of(library, readings[:12])
    on = dict(zip((7, 8, 9), wanted, strict=True))
    six, photo = own_photo(folder, library, codes, colours, on)
    return folder, library, codes, colours, readings[12:], six, photo


def test_what_lies_on_it_is_read_as_the_library_would(house):
    _, library, _, _, truth, six, photo = house
    off, alone = [], []
    with sb.Library(library) as lib:
        for place, as_recorded in zip("789", truth, strict=True):
            found = shade_in_photo(lib, str(photo), at=place)
            assert set(found.measured.shot.beside) == set(six)
            assert found.target.value.rung == "beside"
            off.append(delta_e2000(found.target.lab, as_recorded.lab))
            name = next(n for n in found.measured.alone if n not in six)
            alone.append(delta_e2000(found.measured.alone[name].lab, as_recorded.lab))
    assert np.mean(off) < 0.5 * np.mean(alone)


def test_one_thing_needs_no_word_and_three_ask_which(house):
    folder, library, codes, colours, _, six, photo = house
    laid = {i + 1: colours[codes.index(code)] for i, code in enumerate(six)}
    laid |= {9: colours[3]}
    del laid[2]
    one = sheet_photo(folder, "one.jpg", laid, places=9, codes=six, seed=5)
    with sb.Library(library) as lib:
        found = shade_in_photo(lib, str(one))
        assert set(found.measured.shot.beside) == set(six) - {six[1]}
        assert [s for s in found.target.said if six[1] in s and "passed over" in s]
        with pytest.raises(BadValue, match=r"7, 8 and 9.*--at 7"):
            shade_in_photo(lib, str(photo))
        with pytest.raises(BadValue, match="no place in this photo"):
            shade_in_photo(lib, str(photo), at="4")


def test_yarn_of_another_library_is_passed_over_and_said(house, tmp_path):
    *_, six, photo = house
    with sb.Library(tmp_path / "other", create=True) as lib:
        lib.add_swatch(fibre={"fibre": "wool"})
        found = shade_in_photo(lib, str(photo), at="8")
    assert found.measured.shot.beside == () and found.target.value.rung == "card"
    assert sum("passed over" in sentence for sentence in found.target.said) == 6


def test_the_commands_answer_says_what_it_was_read_beside(house):
    _, library, *_, six, photo = house
    words = ["suggest", "--photo", photo, "--at", 8, "--library", library]
    told = json.loads(run(*words, "--json").stdout)
    assert [s for s in told["target"]["said"] if "Read beside" in s and all(c in s for c in six)]


def test_measure_and_photos_read_beside_it_too(house, tmp_path):
    folder, library, *_, six, photo = house
    told = json.loads(run("measure", photo, "--library", library, "--json",
                          "--preview", tmp_path / "p.jpg").stdout)  # fmt: skip
    assert set(told["beside"]) == set(six) and told["rung"] == "beside"
    assert [row["name"] for row in told["swatches"]] == ["7", "8", "9"]
    here = tmp_path / "copy"
    shutil.copytree(library, here)
    taken = json.loads(run("photos", photo, "--library", here, "--json").stdout)
    assert taken["measured"] == 3 and len(taken["new"]) == 3
    with sb.Library(here) as lib:
        for code in taken["new"]:
            assert lib.swatch(code).measured.rung == "beside"
        assert all(len(lib.swatch(code).measurements) == 1 for code in six)


def test_an_empty_sheet_of_her_own_asks_for_something_to_read(house):
    folder, library, codes, colours, _, six, _ = house
    laid = {i + 1: colours[codes.index(code)] for i, code in enumerate(six)}
    bare = sheet_photo(folder, "bare.jpg", laid, places=9, codes=six, seed=6)
    with sb.Library(library) as lib, pytest.raises(BadValue, match="--at"):
        shade_in_photo(lib, str(bare))
    said = run("measure", bare, "--library", library, ok=2).stderr
    assert "open places" in said
