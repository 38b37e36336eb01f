"""Everything out and in again, on a library with odd text."""

import csv
import json
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import swatchbath as sb
from command import run
from library_made import IRON, a_photo, reading
from swatchbath import desk
from swatchbath.bath.step import Material, Step
from swatchbath.characters import kept
from swatchbath.library import read_table

ODD = st.one_of(
    st.text(
        st.one_of(
            st.characters(blacklist_categories=["Cs"], blacklist_characters="\x00"),
            st.sampled_from("=+-@'\"\t\r\n,;\u202e\u05d0\U0001f9f6"),
        ),
        min_size=1,
        max_size=12,
    ).filter(lambda text: kept(text).strip()),  # with something that is put on record
    st.sampled_from(["=cmd|' /C calc'!A0", "0123", "None", "NA", "'=x", "nan", "1,5", "TRUE"]),
)


def odd_library(folder, texts, photo):
    with sb.Library(folder / "lib", create=True) as lib:
        for i, text in enumerate(texts):
            step = Step("dye", (Material("dyestuff", text, 10.0, text, text),), note=text, pH=6.0)
            code = lib.add_swatch(
                name=f"swatch {i} {text}",
                lot=lib.add_lot([step], name=f"{text}{i}", session=text, note=text),
                part=text,
                steps=[IRON],
                fibre={"fibre": "wool", "fibre_form": text},
                extra={text: text, "code": text},
                typed={"pH": text},
            )
            lib.add_photo(photo)
            lib.add_measurement(code, reading(photo=lib.add_photo(photo)), days=i)
            lib.add_shown(code, lib.add_photo(photo), "pot sheet")
        lib.add_swatch()
        if lib.codes():
            lib.edit(lib.codes()[0], {"name": "another"}, why=texts[0])


def bare(lib, code):
    """A swatch as values that can be compared; the readings are compared as they are kept."""
    return replace(lib.swatch(code), measurements=())


@settings(max_examples=8)
@given(st.lists(ODD, min_size=1, max_size=4))
def test_out_and_in_again_without_loss(texts):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        photo = a_photo(folder / "p.png")
        odd_library(folder, texts, photo)
        told = desk.export(folder / "lib", folder / "out")
        assert told["swatches"] == len(texts) + 1 and told["photos"] == 1
        desk.take(folder / "again", folder / "out")
        with sb.Library(folder / "lib") as one, sb.Library(folder / "again") as two:
            assert one.as_values() == two.as_values()
            assert [bare(one, c) for c in one.codes()] == [bare(two, c) for c in two.codes()]
            for c in one.codes():
                assert one.history(c) == two.history(c)
            (same,) = (folder / "again" / "photos").iterdir()
            assert same.read_bytes() == photo.read_bytes()
        table = read_table(folder / "out" / "swatches.csv")
        assert table["part"].tolist()[: len(texts)] == list(map(kept, texts))
        # No cell would be run.
        with open(folder / "out" / "swatches.csv", encoding="utf-8", newline="") as file:
            for row in csv.reader(file):
                for cell in row:
                    assert not cell.startswith(("=", "@", "\t", "\r"))


def test_the_layout_is_described_and_the_tables_are_plain(tmp_path):
    odd_library(tmp_path, ["weld"], a_photo(tmp_path / "p.png"))
    run("export", tmp_path / "out", "--library", tmp_path / "lib")
    names = sorted(p.name for p in (tmp_path / "out").iterdir())
    assert names == [
        "READ_ME.txt",
        "lots.csv",
        "photos",
        "readings.csv",
        "records.json",
        "swatches.csv",
    ]
    text = (tmp_path / "out" / "READ_ME.txt").read_text(encoding="utf-8")
    assert all(name in text for name in names if name != "READ_ME.txt")
    values = json.loads((tmp_path / "out" / "records.json").read_text(encoding="utf-8"))
    with sb.Library(tmp_path / "lib") as lib:
        assert values == {"schema": 1} | lib.as_values()
    readings = read_table(tmp_path / "out" / "readings.csv")
    assert readings["state"].tolist() == ["dry"] and readings["days"].tolist() == ["0.0"]


def test_what_does_not_fit_makes_nothing(tmp_path):
    odd_library(tmp_path, ["weld"], a_photo(tmp_path / "p.png"))
    out = tmp_path / "out"
    desk.export(tmp_path / "lib", out)
    with pytest.raises(sb.BadValue, match="already"):
        desk.export(tmp_path / "lib", out)
    with pytest.raises(sb.BadValue, match="new folder"):
        desk.take(tmp_path / "lib", out)
    (photo,) = (out / "photos").iterdir()
    whole = photo.read_bytes()
    records = (out / "records.json").read_text(encoding="utf-8")
    newer = json.loads(records) | {"layout": 99}
    for name, text, error in [
        (photo, whole + b"x", sb.BadTable),
        (out / "records.json", b"{}", sb.BadTable),
        (out / "records.json", b"{", sb.BadTable),
        (out / "records.json", json.dumps(newer).encode(), sb.LibraryError),
        (out / "records.json", records.replace("photos/", "../photos/").encode(), sb.BadTable),
    ]:
        before = name.read_bytes()
        name.write_bytes(text)
        with pytest.raises(error):
            desk.take(tmp_path / "new", out)
        name.write_bytes(before)
    photo.unlink()
    with pytest.raises(sb.NotFound, match="missing"):
        desk.take(tmp_path / "new", out)
    assert not (tmp_path / "new").exists()
    assert [p for p in tmp_path.iterdir() if ".part" in p.name] == []


def test_records_of_an_older_layout_are_brought_up_to_date(tmp_path):
    odd_library(tmp_path, ["weld"], a_photo(tmp_path / "p.png"))
    desk.export(tmp_path / "lib", tmp_path / "out")
    path = tmp_path / "out" / "records.json"
    values = json.loads(path.read_text(encoding="utf-8"))
    later = {
        "step": ("pH_read", "stock_days", "vat", "dips", "dip_minutes", "vat_days", "typed",
                 "heat", "duration", "litres", "pH_end", "pot", "vat_with"),
        "material": ("strip", "told"),
        "swatch": ("pot_position", "typed", "binned", "pot_g"),
        "lot": ("extra",),
        "measurement": ("days", "binned", "degrees", "spectrum"),
        "photo": ("camera_name", "sitting", "taken", "frame"),
    }  # fmt: skip
    keep = ("photo", "lot", "swatch", "step", "material", "measurement")
    tables = {n: t for n, t in values["tables"].items() if n in keep}
    for name, gone in later.items():
        places = [i for i, c in enumerate(tables[name]["columns"]) if c not in gone]
        tables[name] = {
            "columns": [tables[name]["columns"][i] for i in places],
            "rows": [[row[i] for i in places] for row in tables[name]["rows"]],
        }
    path.write_text(json.dumps({"schema": 1, "layout": 2, "tables": tables}), encoding="utf-8")
    desk.take(tmp_path / "again", tmp_path / "out")
    with sb.Library(tmp_path / "again") as lib:
        assert lib.swatch(lib.codes()[0]).conditions["dyestuff"] == "weld"
        assert lib.writable


def test_a_damaged_swatch_is_no_fault_of_the_folder(tmp_path):
    odd_library(tmp_path, ["weld"], a_photo(tmp_path / "p.png"))
    with closing(sqlite3.connect(tmp_path / "lib" / "library.sqlite")) as db:
        db.execute("UPDATE swatch SET extra = '{\"note\": 1'")
        db.commit()
    with pytest.raises(sb.LibraryError, match="^What is on record about swatch"):
        desk.export(tmp_path / "lib", tmp_path / "out")
    assert not (tmp_path / "out").exists()
