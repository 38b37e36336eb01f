"""Records: whole or absent, unchanged when read back, open to two programs at once."""

import hashlib
import json
import sqlite3
import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from library_made import DYE, IRON, a_photo, filled, reading
from swatchbath.characters import kept
from swatchbath.errors import BadValue, LibraryError, NotFound
from swatchbath.library import Library, check_name


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


def test_what_goes_in_comes_out_the_same_in_a_new_opening(lib):
    key = filled(lib)
    lib.add_measurement(key, reading())
    lib.close()
    with Library(lib.folder) as again:
        swatch = again.swatch(key)
        assert swatch.steps == (DYE, IRON)
        assert swatch.conditions["modifier"] == "iron"
        assert swatch.session == "2026-03-14"
        kept = swatch.measured
        assert kept.lab.tolist() == [60, 5, 50]
        assert kept.covariance.tolist() == reading().covariance.tolist()
        assert kept.shared["camera:x"].tolist() == reading().shared["camera:x"].tolist()
        assert kept.checks == reading().checks
        assert again.swatch("12a").code == key == again.swatch(key.lower()).code


def is_name(text):
    """A name may not be blank or read as a colour or a code; blanks around it go."""
    try:
        return check_name(text) == text  # without what would steer a terminal
    except BadValue:
        return False


TEXT = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\x00"), min_size=1)


@settings(max_examples=25)
@given(TEXT.filter(is_name), TEXT.filter(kept))
def test_text_stays_text(tmp_path_factory, name, lot):
    folder = tmp_path_factory.mktemp("odd")
    with Library(folder, create=True) as lib:
        lib.add_lot([DYE], name=lot)
        key = lib.add_swatch(name=name, lot=lot, extra={"note": name})
        assert lib.swatch(key).name == name
        assert lib.swatch(key).lot == kept(lot)  # without what would steer a terminal
        assert lib.swatch(key).conditions["note"] == name


@pytest.mark.parametrize("name", ["01234", "None", "NA", "=cmd", "1e3", "'"])
def test_a_name_that_looks_like_a_number_stays_as_typed(lib, name):
    assert lib.swatch(lib.add_swatch(name=name)).name == name


def test_a_photo_is_kept_once_under_its_hash(lib, tmp_path):
    photo = a_photo(tmp_path / "Pot day.JPG")
    picture = photo.read_bytes()
    digest = lib.add_photo(photo)
    assert digest == hashlib.sha256(picture).hexdigest() == lib.add_photo(photo)
    assert lib.photo(digest).read_bytes() == picture
    assert [p.name for p in (lib.folder / "photos").iterdir()] == [f"{digest}.jpg"]


def test_a_failure_inside_leaves_nothing(lib):
    with pytest.raises(ZeroDivisionError):
        with lib.atomic():
            filled(lib)
            lib.add_swatch(name="other")
            1 / 0  # noqa: B018
    assert len(lib) == 0
    filled(lib)
    assert len(lib) == 1


def test_an_inner_failure_takes_back_only_the_inner_part(lib):
    with lib.atomic():
        filled(lib)
        with pytest.raises(BadValue, match="already"):
            filled(lib)
        lib.add_swatch(name="other")
    assert len(lib) == 2


def test_a_lot_never_changes_meaning(lib):
    filled(lib)
    assert lib.add_lot([DYE], name="12") == "12"
    with pytest.raises(BadValue, match="other steps"):
        lib.add_lot([IRON], name="12")


def test_the_table_leaves_out_wet_readings_and_swatches_without_a_bath(lib):
    key = filled(lib)
    lib.add_measurement(key, reading(), state="wet")
    lib.add_measurement(key, reading([61, 5, 50]))
    lib.add_measurement(lib.add_swatch(name="unknown bath"), reading())
    conditions, measured, covariances = lib.table()
    assert len(conditions) == len(measured) == 1
    assert covariances.shape == (1, 3, 3)
    row = conditions.iloc[0]
    assert (row["swatch"], row["lot"], row["dye_owf"]) == (key, "12", 80.0)


def test_found_by_colour_by_words_and_by_both(lib):
    lib.add_lot([DYE], name="12")
    yellow = lib.add_swatch(name="y", lot="12", fibre={"fibre": "wool"})
    red = lib.add_swatch(name="r", fibre={"fibre": "silk"})
    lib.add_measurement(yellow, reading([75, 0, 60]))
    lib.add_measurement(red, reading([40, 45, 20]))
    assert [s.code for s, _ in lib.find(lab=[42, 44, 20])] == [red, yellow]
    assert [s.code for s, _ in lib.find(text="WELD wool")] == [yellow]
    assert lib.find(lab=[42, 44, 20], text="linen") == []
    assert len(lib.find(lab=[42, 44, 20], k=1)) == 1
    with pytest.raises(BadValue, match="no colour"):
        lib.find(lab=[300, 0, 0])


def test_what_is_not_there_is_said(lib, tmp_path):
    with pytest.raises(NotFound, match="no library"):
        Library(tmp_path / "nowhere")
    with pytest.raises(NotFound, match="code or name"):
        lib.swatch("nobody's")
    with pytest.raises(NotFound, match="no lot"):
        lib.add_swatch(lot="99")
    key = filled(lib)
    with pytest.raises(BadValue, match="state"):
        lib.add_measurement(key, reading(), state="damp")


def test_a_newer_or_damaged_library_is_refused_politely(lib):
    lib.close()
    file = lib.folder / "library.sqlite"
    db = sqlite3.connect(file)
    db.execute("PRAGMA user_version = 99")
    db.close()
    with pytest.raises(LibraryError, match="newer"):
        Library(lib.folder)
    file.write_bytes(b"not a library at all" * 100)
    with pytest.raises(LibraryError, match="damaged"):
        Library(lib.folder)


WRITER = """
import sys, json
from swatchbath.library import Library
with Library(sys.argv[1]) as lib:
    print(json.dumps([lib.add_swatch(name=f"{sys.argv[2]}-{i}") for i in range(20)]))
"""


def test_two_programs_write_at_once(lib):
    runs = [
        subprocess.Popen(
            [sys.executable, "-c", WRITER, str(lib.folder), who], stdout=subprocess.PIPE
        )
        for who in "ab"
    ]
    codes = [code for run in runs for code in json.loads(run.communicate(timeout=60)[0])]
    assert sorted(codes) == sorted(lib.codes())
    assert len(set(codes)) == 40


def test_history_tells_what_happened_in_order(lib):
    key = filled(lib)
    lib.add_measurement(key, reading(), state="wet")
    assert [e["what"] for e in lib.history(key)] == ["recorded", "measured wet, with a grey card"]
