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
from swatchbath.photo.sheet.layout import swatch_text


@pytest.fixture(scope="module")
def shot(tmp_path_factory):
    """A photographed sheet of four: two codes of a library, one of another, one bare place."""
    folder = tmp_path_factory.mktemp("sheet")
    known = [code_of(0), code_of(1), code_of(99)]
    layout, light = drawn.draw_sheet(4, "A4", codes=known, rng=np.random.default_rng(5))
    camera = drawn.Camera(size=(1500, 2000))
    drawn.take(layout, light, camera, np.random.default_rng(0), folder)
    return folder / "sheet.jpg", known


def tag(path, code):
    """A photo of a tag by itself."""
    made = segno.make_qr(swatch_text(code), version=1, error="m")
    dark = np.pad(np.array([list(r) for r in made.matrix], bool), 6)
    grey = np.where(np.kron(dark, np.ones((8, 8), bool)), 30, 215).astype(np.uint8)
    Image.fromarray(np.stack([grey] * 3, -1)).save(path)
    return path


def test_a_sheet_is_measured_and_named_by_its_codes(shot, tmp_path):
    photo, (one, two, strange) = shot
    assert desk.codes(tmp_path, 2)["codes"] == [one, two]
    done = desk.photos(tmp_path, [photo], state="dry washed", days=3)
    assert done.measured == 3  # the nameless place is a swatch to be described
    assert done.shown["sheet.jpg"] == [one, two, *done.new] and len(done.new) == 1
    assert any(strange in said and "not in this library" in said for said in done.left_out)
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
