"""Her own swatches beside what is read: wherever a colour is read in a photo, by the same words."""

import json

import numpy as np
import pytest

import swatchbath as sb
from command import run
from record_made import SAMPLE
from swatchbath import desk
from swatchbath.colorimetry import delta_e2000
from swatchbath.desk.photo.beside import OwnSwatch, listed, nearest_own
from swatchbath.desk.photo.marks import read_marks

SHADE = SAMPLE / "photos" / "shade_01.jpg"
(MARKS,) = read_marks(SAMPLE / "shade.csv").values()
BATH = ("--set", "fibre=wool", "--set", "dyestuff=madder")


def spot(region):
    return f"{region.x:g},{region.y:g},{region.half:g}"


CARD = ("--card", spot(MARKS.cards["card"]))
AT = spot(MARKS.swatches["scrap"])
BESIDE = [w for n, r in MARKS.beside.items() for w in ("--beside", f"{n}={spot(r)}")]


@pytest.fixture(scope="module")
def house(sample_house):
    """The sample house on record."""
    return sample_house


@pytest.fixture
def mine(house, tmp_path):
    """A copy of it that may be written to."""
    with sb.Library(house) as lib:
        lib.copy_database(tmp_path / "library.sqlite")
    (tmp_path / "photos").mkdir()
    for path in (house / "photos").iterdir():
        (tmp_path / "photos" / path.name).hardlink_to(path)
    return tmp_path


def test_measure_says_beside_what_and_how_sure(house):
    words = ["measure", SHADE, *CARD, "--swatch", f"scrap={AT}", "--library", house]
    alone = json.loads(run(*words, "--json").stdout)
    beside = json.loads(run(*words, *BESIDE, "--json").stdout)
    assert (alone["rung"], beside["rung"]) == ("card", "beside")
    gone_by = beside["beside"]
    assert {*gone_by, *beside["changed"]} == set(MARKS.beside) and len(gone_by) >= 2
    assert alone["beside"] == []
    assert [r["name"] for r in beside["swatches"]] == ["scrap"]
    (said,) = [n for n in beside["notes"] if n.startswith("Read beside")]
    assert said.startswith(f"Read beside {listed(gone_by)}: among your swatches give or take ")
    assert "with the card alone" in said
    marked = json.loads(run("measure", SHADE, "--marks", SAMPLE / "shade.csv", "--library",
                            house, "--json").stdout)  # fmt: skip
    assert marked["beside"] == beside["beside"]


def test_a_name_or_a_code_means_the_swatch_and_what_cannot_be_is_said(house, tmp_path):
    with sb.Library(house) as lib:
        code = lib.swatch("11a").code
    words = ["measure", SHADE, *CARD, "--swatch", f"scrap={AT}"]
    by_code = [BESIDE[0], BESIDE[1].replace("11a", code)]
    named = json.loads(run(*words, *BESIDE[:2], "--library", house, "--json").stdout)
    coded = json.loads(run(*words, *by_code, "--library", house, "--json").stdout)
    assert named["swatches"][0]["lab"] == coded["swatches"][0]["lab"]
    assert any("nothing checks" in n for n in named["notes"])  # one alone
    for more, said in (
        (["--beside", "nobody=1,2,3"], "no swatch"),
        (["--beside", "1,2,3"], "which swatch lies beside"),
        ([*BESIDE[:2], *by_code], "twice"),
        (["--beside", f"scrap={AT}"], "named as a swatch to be read and"),
    ):
        assert said in run(*words, *more, "--library", house, ok=2).stderr
    told = run(*words, *BESIDE[:2], "--library", tmp_path / "none", ok=2).stderr
    assert "no library to look for" in told


def test_suggest_find_and_compare_take_it(house):
    photo = ["--photo", SHADE, *CARD, "--at", AT, *BESIDE, "--library", house, "--json"]
    found = json.loads(run("find", *photo, "-k", 3).stdout)
    wish = json.loads(run("suggest", *photo, "-k", 1, "--tolerance", 0.5).stdout)["target"]
    assert wish["note"] == ""  # the doubt with the card alone is no part of these answers
    compared = json.loads(run("compare", "12a", *photo, ok=1).stdout)  # no match, or cannot tell
    for target in (found["target"], wish, compared["a"]):
        assert target["lab"] == found["target"]["lab"]
        assert target["said"] == found["target"]["said"]
        assert target["said"][0].startswith("Read beside 11a")
    assert "(12a)" in compared["b"]["called"]
    lab = found["target"]["lab"]
    off = [delta_e2000(lab, row["lab"]) for row in found["swatches"]]
    assert len(off) == 3 and off == sorted(off)


def test_a_standard_that_lies_in_the_photo_is_compared_by_that_photo(house):
    photo = ["--photo", SHADE, *CARD, "--at", AT, "--library", house, "--json"]
    elsewhere = json.loads(run("compare", "11a", *photo, ok=1).stdout)
    beside = json.loads(run("compare", "11a", *photo, *BESIDE, ok=1).stdout)
    assert not elsewhere["same_photo"] and beside["same_photo"]
    assert beside["smallest_tolerance"] < 0.8 * elsewhere["smallest_tolerance"]
    assert "(11a)" in beside["b"]["called"] and beside["lay_beside"] == []
    assert "in one photo, side by side" not in beside["would_settle"]
    # Both are as the card alone shows them, in the photo that is asked about.
    assert beside["a"]["lab"] == elsewhere["a"]["lab"]
    assert not any(s.startswith("Read beside") for s in beside["a"]["said"])


def test_a_piece_of_another_colour_is_not_gone_by(house):
    words = ["measure", SHADE, *CARD, "--swatch", f"scrap={AT}", "--library", house, "--json"]
    alone = json.loads(run(*words).stdout)["swatches"][0]["lab"]
    one, other = (BESIDE[i].partition("=")[2] for i in (1, 3))
    wrong = json.loads(run(*words, "--beside", f"01a={one}").stdout)  # a light yellow for a red
    assert wrong["swatches"][0]["lab"] == alone
    assert (wrong["rung"], wrong["beside"], list(wrong["changed"])) == ("card", [], ["01a"])
    assert "code and its place" in wrong["changed"]["01a"]
    both = ["--beside", f"01a={one}", "--beside", f"20a={other}"]
    two = json.loads(run(*words, *both).stdout)
    assert (two["rung"], two["beside"], list(two["changed"])) == ("beside", ["20a"], ["01a"])
    assert any("nothing checks" in n for n in two["notes"])


def test_a_piece_has_a_place_of_its_own(house):
    words = ["measure", SHADE, *CARD, "--swatch", f"scrap={AT}", "--library", house]
    assert "marked at one place" in run(*words, "--beside", f"11a={AT}", ok=2).stderr
    twice = ["--beside", BESIDE[1], "--beside", BESIDE[1].replace("11a", "20a")]
    assert "11a and 20a are marked at one place" in run(*words, *twice, ok=2).stderr


@pytest.mark.parametrize("verb", ["suggest", "find", "compare"])
@pytest.mark.parametrize("option", ["--camera-name", "--beside", "--paper", "--at"])
def test_what_tells_of_a_photo_needs_one(house, verb, option):
    shade = {"compare": ["11a", "20a"], "find": ["--colour", "62,12,48"]}.get(verb, ["62,12,48"])
    said = run(verb, *shade, option, "x=1,2,3", "--library", house, ok=2).stderr
    assert f"{option} goes with a photo" in said


def test_record_puts_the_reading_on_record_in_the_librarys_frame(mine):
    done = run("record", SHADE, *CARD, "--swatch", AT, *BESIDE, *BATH, "--name", "scrap",
               "--library", mine, "--json")  # fmt: skip
    assert json.loads(done.stdout)["notes"][0].startswith("Read beside 11a")
    with sb.Library(mine) as lib:
        reading = lib.swatch("scrap").measured
        assert reading.rung == "beside" and reading.degrees == lib.swatch("11a").measured.degrees
        (photo,) = [p for p in lib.photos() if p.name == SHADE.name]
        codes = [lib.swatch(n).code for n in MARKS.beside]
        assert photo.frame["beside"] == codes
        assert set(photo.frame["swatches"]) == {lib.swatch("scrap").code, *codes}
        # What it shares with a swatch on record, the record's camera above all, cancels.
        near = lib.swatch("11a").measured
        common = sb.cross_covariance(reading, near)
        between = reading.covariance + near.covariance - common - common.T
        assert np.trace(between) < 0.3 * np.trace(reading.covariance + near.covariance)
    again = run("record", SHADE, *CARD, "--swatch", AT, "--code", "11a", *BESIDE,
                "--library", mine, ok=2)  # fmt: skip
    assert "cannot lie beside itself" in again.stderr


def test_delivery_reads_its_check_swatches_in_a_photo_first(mine):
    """Of an invented delivery of weld: two checks recorded without a colour, then one photo."""
    place = spot(MARKS.swatches["scrap"])
    with sb.Library(mine) as lib:
        bath = {k: str(v) for k, v in lib.swatch("01a").conditions.items() if k[:5] != "base_"}
        for name in ("k1", "k2"):
            desk.record(lib, bath | {"dyestuff_lot": "W26", "lot": "k"}, name=name,
                        reading=sb.Measurement([70, -5, 60]))  # fmt: skip
    words = ["delivery", "weld", "W26", "--library", mine]
    told = run(*words, "--at", f"k1={place}", ok=2).stderr
    assert "--at goes with a photo" in told
    other = run(*words, "--photo", SHADE, *CARD, "--at", f"01a={place}", ok=2).stderr
    assert "01a is not on record as dyed with weld W26" in other
    with sb.Library(mine) as lib:
        assert not any(p.name == SHADE.name for p in lib.photos())
    done = json.loads(
        run(*words, "--photo", SHADE, *CARD, "--at", f"k1={place}", *BESIDE, "--json").stdout
    )
    assert done["said"][0].startswith("Read beside")
    assert done["state"] == "checked"
    with sb.Library(mine) as lib:
        assert [m.rung for _, _, m in lib.swatch("k1").measurements] == ["instrument", "beside"]
        assert len(lib.swatch("k2").measurements) == 1


def test_of_many_the_nearest_in_colour_are_gone_by():
    place = sb.Region(1, 2, 3)
    reds = (40, 80, 10, 11, 12, 13, 14, 15, 12.5)
    seen = {f"s{i}": sb.Measurement([50, a, 0], np.eye(3)) for i, a in enumerate(reds)}
    own = {n: OwnSwatch(n, place, m) for n, m in seen.items() if n != "s8"}
    assert set(nearest_own(own, seen, ["s8"])) == {"s2", "s3", "s4", "s5", "s6", "s7"}
    assert list(nearest_own({"s1": own["s1"]}, seen, ["s8"])) == ["s1"]


def test_more_than_six_are_named_where_they_are_not_gone_by(house):
    spots = [f"{n}={spot(r)}" for n, r in MARKS.beside.items()]
    # Corners of one piece stand for several: what is told of them is what matters here.
    at = MARKS.beside["20a"]
    corners = [(x, y) for x in (-35, 35) for y in (-35, 35)]
    names = ("21a", "22a", "12a", "13a")
    more = [f"{n}={at.x + x},{at.y + y},30" for n, (x, y) in zip(names, corners, strict=True)]
    words = [w for place in (*spots, *more) for w in ("--beside", place)]
    told = run("measure", SHADE, *CARD, "--swatch", f"scrap={AT}", *words, "--library", house)
    plain = " ".join(told.stdout.split())
    assert "More than 6 lie beside: the nearest in colour were gone by, and not" in plain
