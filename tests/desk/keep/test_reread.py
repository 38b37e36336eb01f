"""Readings made anew from their photos: the same by the same version; older ones by a newer one."""

import json
import sqlite3
from contextlib import closing

import numpy as np
import pytest

import sheet_drawing as drawn
import swatchbath as sb
from command import run
from nameless_photos import nameless
from older_library import older_library
from record_made import OTHER, PHOTO, SAMPLE
from swatchbath import desk
from swatchbath.desk.photo.marks import read_cards, read_marks
from swatchbath.library.codes import code as code_of

MARKS = read_marks(SAMPLE / "marks.csv")
BATH = {"fibre": "wool", "dyestuff": "weld"}


def colours(folder):
    """Of each reading, by swatch in order: Lab, doubt, rung, sources."""
    with sb.Library(folder) as lib:
        return [
            (m.lab, m.covariance, m.rung, sorted(m.shared))
            for code in lib.codes()
            for _, _, m in lib.swatch(code).measurements
        ]


def same(one, two):
    return len(one) == len(two) and all(
        np.allclose(a[0], b[0], atol=1e-3) and np.allclose(a[1], b[1], atol=2e-2) and a[2:] == b[2:]
        for a, b in zip(one, two, strict=True)
    )


@pytest.fixture(scope="module")
def every_rung(tmp_path_factory):
    """A library with readings by three greys, on a sheet, and beside swatches on record."""
    folder = tmp_path_factory.mktemp("rungs")
    lib = folder / "lib"
    rows = ["name,photo,fibre,dyestuff"]
    for photo in ("photo_05.jpg", "photo_07.jpg"):
        rows += [f"{name},{photo},wool,weld" for name in list(MARKS[photo].swatches)[:3]]
    (folder / "baths.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")
    desk.record_table(lib, folder / "baths.csv", marks=SAMPLE / "marks.csv",
                      photos=SAMPLE / "photos", cards=SAMPLE / "cards.csv")  # fmt: skip
    (shade,) = read_marks(SAMPLE / "shade.csv").values()
    with sb.Library(lib) as opened:
        names = [n for n in shade.beside if opened.has_name(n)]
    desk.record(
        lib, BATH, photo=SAMPLE / "photos" / "shade_01.jpg", card=shade.cards["card"],
        swatch=shade.swatches["scrap"], paper=shade.paper,
        beside={n: shade.beside[n] for n in names}, name="scrap",
        in_frame=desk.InFrame(sitting="spring"),
    )  # fmt: skip
    layout, light = drawn.draw_sheet(4, "A4", codes=[], rng=np.random.default_rng(5))
    drawn.take(layout, light, drawn.Camera(size=(1500, 2000)), np.random.default_rng(0), folder)
    desk.photos(lib, [folder / "sheet.jpg"], in_frame=desk.InFrame(camera_name="my phone"))
    return lib


def test_by_the_same_version_every_rung_comes_out_the_same_and_one_undo_takes_it_back(every_rung):
    before = colours(every_rung)
    assert {c[2] for c in before} == {"greys", "beside", "card"} and len(before) == 11
    with sb.Library(every_rung) as lib:
        ids = [r.id for p in lib.photos() for r in lib.readings_from(p.id)]
        lib.read_anew({i: sb.Measurement([50, 0, 0]) for i in ids}, why="spoiled")
        done = desk.reread(lib)
        assert (done.made, done.photos, done.kept) == (11, 4, {})
    assert same(colours(every_rung), before)
    with sb.Library(every_rung) as lib:
        assert "11 readings have their colours from before" in lib.undo().sentences[0]
        assert all(c[0].tolist() == [50, 0, 0] for c in colours(every_rung))
        lib.undo()
    assert same(colours(every_rung), before)
    told = run("photos", "--reread", "--library", every_rung)
    assert "11 readings from 4 photos were made anew" in " ".join(told.stdout.split())
    assert "stands alone" in run("photos", "--reread", "--again", "--library", every_rung,
                                 ok=2).stderr  # fmt: skip


@pytest.fixture(scope="module")
def two_photos(tmp_path_factory):
    """Two photos that do not name their camera; two swatches in each, as they are read today."""
    folder = tmp_path_factory.mktemp("plain")
    labs, out = read_cards(SAMPLE / "cards.csv"), []
    for number, path in enumerate((PHOTO, OTHER)):
        path, marks = nameless(path, folder), MARKS[path.name]
        places = dict(list(marks.swatches.items())[:2])
        # One with a card of its own colour, one with an 18 % grey.
        card = sb.Card(marks.cards["card"], lab=labs["grey"] if number else None)
        shot = sb.measure(path, card=card, swatches=places)
        for i, (name, place) in enumerate(places.items()):
            k = 2 * number + i
            mark = [place.x, place.y, place.half]
            out.append((code_of(k), k, path, mark, shot[name]))
    return out


def moved(readings, by=4.0):
    """As an earlier version read them: somewhat otherwise."""
    return [(*r[:4], r[4].replace(lab=r[4].lab + [by, 0, 0])) for r in readings]


@pytest.mark.parametrize("layout", range(1, 5))  # from layout 5 on, readings are as they are now
def test_a_library_of_an_earlier_layout_is_read_anew_once_and_one_undo_takes_it_back(
    tmp_path, two_photos, layout
):
    folder = older_library(tmp_path / "old", layout, moved(two_photos))
    told = run("waiting", "--library", folder)  # looks at no colour
    assert "earlier version" not in told.stderr
    told = " ".join(run("show", two_photos[0][0], "--library", folder).stderr.split())
    assert "written by an earlier version" in told and "4 readings from 2 photos" in told
    (copy,) = folder.glob(f"library-before-layout-{layout}-*")
    assert f"library-before-layout-{layout}" in told
    with closing(sqlite3.connect(copy)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (layout,)
    with sb.Library(folder) as lib:
        unnamed = lib.unnamed_camera
        for code, _, _, _, fresh in two_photos:
            got = lib.swatch(code).measured
            # The card is found again and not marked by hand: nearly the same.
            assert np.abs(got.lab - fresh.lab).max() < 0.5
            assert [s for s in got.shared if s.startswith("camera:")] == [f"camera:{unnamed}"]
            assert [s for s in got.shared if s.startswith("card:")] == [
                s for s in fresh.shared if s.startswith("card:")
            ]
            events = " ".join(e["what"] for e in lib.history(code))
            assert "read anew" in events and "camera: not named, was not known" in events
    assert "earlier version" not in run("show", two_photos[0][0], "--library", folder).stderr
    assert "4 readings have their colours from before" in run("undo", "--library", folder).stdout
    with sb.Library(folder) as lib:
        for code, _, _, _, old in moved(two_photos):
            got = lib.swatch(code).measured
            assert got.lab.tolist() == old.lab.tolist() and got.shared.keys() == old.shared.keys()
        with pytest.raises(sb.NotFound, match="no change left"):
            lib.undo()
    assert "earlier version" not in run("show", two_photos[0][0], "--library", folder).stderr


def test_what_cannot_be_read_anew_is_kept_and_said(tmp_path, two_photos):
    one, two, three, four = moved(two_photos)
    greys = (*three[:4], three[4].replace(rung="greys"))
    folder = older_library(tmp_path / "old", 4, [one, (*two[:3], None, two[4]), greys, four])
    told = " ".join(run("find", "--colour", "60,5,40", "--library", folder).stderr.split())
    assert "1 reading from 1 photo was made anew" in told
    assert "3 readings from 2 photos could not be made anew and stay as they are" in told
    assert "photo_01.jpg: Where" in told and "photo_02.jpg: It was read by more than its" in told
    with sb.Library(folder) as lib:
        assert lib.swatch(one[0]).measured.lab.tolist() != one[4].lab.tolist()
        for code, _, _, _, old in (two, greys, four):
            kept = lib.swatch(code).measured
            assert kept.lab.tolist() == old.lab.tolist()
            # Whose camera it was needs no photo.
            assert f"camera:{lib.unnamed_camera}" in kept.shared
        assert lib.to_read is None


def test_without_its_photo_a_reading_is_kept(tmp_path, two_photos):
    folder = older_library(tmp_path / "old", 4, moved(two_photos))
    for path in (folder / "photos").iterdir():
        path.unlink()
    told = " ".join(run("show", two_photos[0][0], "--library", folder).stderr.split())
    assert "4 readings from 2 photos could not be made anew" in told and "no photo at" in told


def test_python_opens_it_with_the_old_colours_and_makes_them_anew_when_told(tmp_path, two_photos):
    folder = older_library(tmp_path / "old", 4, moved(two_photos))
    code, _, _, _, old = moved(two_photos)[0]
    with sb.Library(folder) as lib:
        assert lib.to_read == 4 and lib.swatch(code).measured.lab.tolist() == old.lab.tolist()
        steps = []
        done = desk.bring_up_to_date(lib, progress=lambda *step: steps.append(step))
        assert (done.made, done.layout) == (4, 4) and steps[-1][:2] == (2, 2)
        assert desk.bring_up_to_date(lib) is None


def test_read_only_it_stays_as_it_is(tmp_path, two_photos, monkeypatch):
    folder = older_library(tmp_path / "old", 3, moved(two_photos))
    before = (folder / "library.sqlite").read_bytes()

    def refuse(folder):
        raise sqlite3.OperationalError("unable to open database file")

    monkeypatch.setattr("swatchbath.library.database.for_writing", refuse)
    code, _, _, _, old = moved(two_photos)[0]
    told = run("show", code, "--library", folder, "--json")
    assert "earlier version" not in told.stderr
    shown = json.loads(told.stdout)["measurements"][0]
    assert shown["lab"] == pytest.approx(old.lab.tolist())
    assert (folder / "library.sqlite").read_bytes() == before


def test_a_library_of_baths_alone_has_nothing_to_read(tmp_path):
    folder = older_library(tmp_path / "old", 2, [])
    with sb.Library(folder) as lib:
        assert lib.to_read is None and lib.unnamed_camera.startswith("unnamed (")


def test_an_export_of_an_earlier_layout_is_brought_up_to_date_too(tmp_path, two_photos):
    old = older_library(tmp_path / "old", 4, moved(two_photos))
    with closing(sqlite3.connect(old / "library.sqlite")) as db:
        db.row_factory = sqlite3.Row
        from swatchbath.library.dump import as_values

        values = as_values(db)
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "records.json").write_text(json.dumps({"schema": 1} | values))
    (old / "photos").rename(tmp_path / "out" / "photos")
    desk.take(tmp_path / "new", tmp_path / "out")
    told = " ".join(run("show", two_photos[0][0], "--library", tmp_path / "new").stderr.split())
    assert "4 readings from 2 photos were made anew" in told
