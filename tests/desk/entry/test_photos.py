"""Many photos at once, swatches named by the codes in the picture."""

import numpy as np
import pytest
import segno
from PIL import Image

import sheet_drawing as drawn
import swatchbath as sb
from command import run
from library_made import a_photo
from swatchbath import desk
from swatchbath.library.codes import code as code_of
from swatchbath.photo.place.preview import preview
from swatchbath.photo.sheet.layout import swatch_text


@pytest.fixture(scope="module")
def shot(tmp_path_factory):
    """A photographed sheet of four: two codes of a library, one of another, one bare place."""
    folder = tmp_path_factory.mktemp("sheet")
    known = [code_of(0), code_of(1), code_of(9_999)]
    layout, light = drawn.draw_sheet(4, "A4", codes=known, rng=np.random.default_rng(5))
    camera = drawn.Camera(size=(1500, 2000))
    drawn.take(layout, light, camera, np.random.default_rng(0), folder)
    return folder / "sheet.jpg", known


def sheet_of(folder, codes, *, name, seed=5, shot=0):
    """A photographed sheet of four with these codes, every place filled. The same seed lays the
    same fibre on each place; shot : each is a photo of its own."""
    folder.mkdir(exist_ok=True)
    layout, light = drawn.draw_sheet(4, "A4", codes=codes, rng=np.random.default_rng(seed))
    camera = drawn.Camera(size=(1500, 2000))
    drawn.take(layout, light, camera, np.random.default_rng(shot), folder, name)
    return folder / name


def rungs(folder, code):
    with sb.Library(folder) as lib:
        return [m.rung for _, _, m in lib.swatch(code).measurements]


def test_a_swatch_on_record_lies_beside_a_new_one_and_alone_or_again_it_is_read_anew(tmp_path):
    lib, folder = tmp_path / "lib", tmp_path / "photos"
    codes = desk.codes(lib, 5)["codes"]
    first = sheet_of(folder, codes[:4], name="first.jpg")
    same = sheet_of(folder, codes[:4], name="same.png", shot=1)
    mixed = sheet_of(folder, [*codes[:3], codes[4]], name="mixed.jpg")
    done = desk.photos(lib, [first])
    assert done.measured == 4 and not done.beside and not done.anew
    assert any("does not say which camera" in note for note in done.notes)

    done = desk.photos(lib, [mixed])
    assert done.measured == 1 and done.beside == {"mixed.jpg": codes[:3]} and not done.anew
    (said,) = [n for n in done.notes if "Read beside" in n]
    assert f"Read beside {codes[0]}, {codes[1]} and {codes[2]}: among your swatches" in said
    assert done.shown == {"mixed.jpg": [*codes[:3], codes[4]]}
    assert rungs(lib, codes[4]) == ["beside"] and rungs(lib, codes[0]) == ["card"]

    done = desk.photos(lib, [same])  # all of it is on record: read anew
    assert done.anew == {"same.png": codes[:4]} and done.measured == 4 and not done.beside
    assert rungs(lib, codes[0]) == ["card", "card"]

    lit = sheet_of(folder, [*codes[:3], codes[4]], name="again.png", shot=1)
    done = desk.photos(lib, [lit], again=True)
    assert done.measured == 4 and not done.beside
    assert done.anew == {"again.png": [*codes[:3], codes[4]]}
    told = run("photos", lit, "--library", lib, ok=0).stdout
    assert "has a reading from this photo already" in " ".join(told.split())


def test_wet_ones_are_never_gone_by(tmp_path):
    lib, folder = tmp_path / "lib", tmp_path / "photos"
    codes = desk.codes(lib, 5)["codes"]
    desk.photos(lib, [sheet_of(folder, codes[:4], name="first.jpg")])
    mixed = sheet_of(folder, [*codes[:3], codes[4]], name="wet.jpg")
    done = desk.photos(lib, [mixed], state="wet")
    assert done.measured == 4 and not done.beside


def test_what_lies_in_one_photo_is_told_of_one_photo(tmp_path):
    folder = tmp_path / "photos"
    one, two = (sheet_of(folder, [], name=f"{n}.jpg", seed=n) for n in (5, 6))
    place = ["--paper", "20,20,9"]
    told = run("photos", one, two, *place, "--library", tmp_path / "lib", ok=2).stderr
    assert "--paper says where something lies in one photo" in told
    plain = a_photo(tmp_path / "plain.jpg")
    told = run("photos", plain, *place, "--library", tmp_path / "lib", ok=2).stdout
    assert "no colour is read without a photo sheet" in " ".join(told.split())
    run("photos", one, two, "--camera-name", "my phone", "--sitting", "table", "--library",
        tmp_path / "lib")  # fmt: skip
    with sb.Library(tmp_path / "lib") as lib:
        assert {(p.camera_name, p.sitting) for p in lib.photos()} == {("my phone", "table")}
        shared = [set(lib.swatch(c).measured.shared) for c in lib.codes()]
    assert all({"camera:my phone", "sitting:my phone: table"} <= s for s in shared)


def tag(path, code):
    """A photo of a tag by itself."""
    made = segno.make_qr(swatch_text(code), version=1, error="m")
    dark = np.pad(np.array([list(r) for r in made.matrix], bool), 6)
    grey = np.where(np.kron(dark, np.ones((8, 8), bool)), 30, 215).astype(np.uint8)
    Image.fromarray(np.stack([grey] * 3, -1)).save(path)
    return path


def test_a_sheet_is_measured_and_named_by_its_codes(shot, tmp_path):
    photo, (one, two, strange) = shot
    with sb.Library(tmp_path, create=True) as lib:
        lib.start_codes(0)
    assert desk.codes(tmp_path, 2)["codes"] == [one, two]
    done = desk.photos(tmp_path, [photo], state="dry washed", days=3)
    assert done.measured == 3  # the nameless place is a swatch to be described
    assert done.shown["sheet.jpg"] == [one, two, *done.new] and len(done.new) == 1
    assert any(
        strange in said and "printed for another library" in said for said in done.left_out
    ), done.left_out
    with sb.Library(tmp_path) as lib:
        for code in done.shown["sheet.jpg"]:
            swatch = lib.swatch(code)
            assert swatch.shown == (("sheet.jpg", "swatch"),)
            assert [state for state, _, _ in swatch.measurements] == ["dry washed"]
            assert swatch.days == (3.0,)
    # The same photo again adds nothing to swatches that have their reading from it.
    desk.photos(tmp_path, [photo], state="dry washed")
    with sb.Library(tmp_path) as lib:
        assert len(lib.swatch(one).measurements) == 1


def test_a_folder_of_tags_and_strangers(tmp_path):
    folder = tmp_path / "saturday"
    folder.mkdir()
    one, two = desk.codes(tmp_path / "lib", 2)["codes"]
    tag(folder / "1.png", one)
    tag(folder / "2.png", code_of(500))
    a_photo(folder / "3.png")
    (folder / "4.jpg").write_bytes(b"no photo")
    (folder / "notes.txt").write_text("passed over")
    done = desk.photos(tmp_path / "lib", [folder])
    assert done.shown["1.png"] == [one]
    assert done.shown["3.png"] == done.new
    assert sorted(said.split(":")[0] for said in done.left_out) == ["2.png", "4.jpg"]
    with sb.Library(tmp_path / "lib") as lib:
        assert lib.swatch(two).shown == ()
        assert len(lib) == 3 and lib.orphans() == []


def test_a_photo_that_is_not_there_is_left_out_with_its_reason(tmp_path):
    done = desk.photos(tmp_path / "lib", [tmp_path / "none.jpg", a_photo(tmp_path / "a.png")])
    assert len(done.shown) == 1 and "none.jpg" in done.left_out[0]


def test_one_photo_taken_in_again_makes_no_further_swatch(tmp_path):
    path = a_photo(tmp_path / "plain.jpg")
    first = desk.photos(tmp_path / "lib", [path])
    again = desk.photos(tmp_path / "lib", [path])
    assert not again.new and not again.shown
    assert f"on record already, as {first.new[0]}" in again.left_out[0]
    # Named, it may show another swatch as well.
    run("codes", 1, "--library", tmp_path / "lib")
    with sb.Library(tmp_path / "lib") as lib:
        other = lib.codes()[-1]
    assert desk.photos(tmp_path / "lib", [path], codes=[other]).shown == {"plain.jpg": [other]}


def test_when_nothing_was_taken_in_the_exit_code_says_so(tmp_path):
    (tmp_path / "empty.jpg").write_bytes(b"")
    told = run("photos", tmp_path / "empty.jpg", "--library", tmp_path / "lib", ok=2)
    assert "empty file" in told.stdout
    plain = a_photo(tmp_path / "plain.jpg")
    run("photos", plain, "--days", "-4", "--library", tmp_path / "lib", ok=2)
    run("photos", plain, "--days", "nan", "--library", tmp_path / "lib", ok=2)


def test_a_picture_of_the_places_is_no_photo(tmp_path):
    folder = tmp_path / "photos"
    folder.mkdir()
    a_photo(folder / "skein.jpg")
    photo = sb.photo.read_photo(folder / "skein.jpg")
    drawn_over = preview(photo, {"a": sb.Region(20, 20, 10)})
    (folder / "skein-places.jpg").write_bytes(drawn_over)
    assert list(desk.photos(tmp_path / "lib", [folder]).shown) == ["skein.jpg"]


def test_a_photo_of_a_pot_dyed_on_a_suggestion_says_how_it_came_out(tmp_path):
    lib, folder = tmp_path / "lib", tmp_path / "photos"
    codes = desk.codes(lib, 4)["codes"]
    said = {
        "asked": {"called": "a leaf", "typed": "40,-10,20", "lab": [40.0, -10.0, 20.0]},
        "tolerance": 2.0, "conditions": {"fibre": "wool"}, "lab": [42.0, -9.0, 20.0],
        "chance_within": 0.3, "words": "dull green", "bath": [], "title": "", "brings_pH": [],
    }  # fmt: skip
    with sb.Library(lib) as opened:
        opened.keep_suggestion(codes[1], said)
    done = desk.photos(lib, [sheet_of(folder, codes, name="sheet.jpg")])
    (told,) = done.as_dict()["came_out"]
    assert told["code"] == codes[1] and "for a leaf" in told["words"]
    assert done.next == told["next"] and codes[1] in done.next
