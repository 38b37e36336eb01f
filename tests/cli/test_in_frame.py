"""Every rung by the command: greys, a chart, known swatches, a camera profile; even light."""

import csv
import dataclasses
import json

import numpy as np
import pytest

import swatchbath as sb
from command import run
from swatchbath import desk
from swatchbath.cli import main
from swatchbath.colorimetry import delta_e2000
from swatchbath.desk.photo.marks import read_cards, read_marks
from swatchbath.photo.correction.card import CHART_LAB
from swatchbath.sample import sample_folder

SAMPLE = sample_folder()


def measured(*words):
    return json.loads(run("measure", *words, "--json").stdout)


def mark(region):
    return f"{region.x:g},{region.y:g},{region.half:g}"


@pytest.fixture(scope="module")
def greys():
    """A sample photo with a white, a grey and a black card: its path, marks and the cards' Lab."""
    labs = read_cards(SAMPLE / "cards.csv")
    for name, marks in read_marks(SAMPLE / "marks.csv").items():
        if {"white", "card", "black"} <= set(marks.cards):
            return SAMPLE / "photos" / name, marks, labs
    raise AssertionError("no sample photo has three greys")


def words_of(greys, *, three):
    path, marks, labs = greys
    words = [path, "--card", mark(marks.cards["card"])]
    words += ["--card-lab", ",".join(str(v) for v in labs["grey"])]
    if three:
        for name in ("white", "black"):
            lab = ",".join(str(v) for v in labs[name])
            words += [f"--{name}", f"{mark(marks.cards[name])},{lab}"]
    for name, region in marks.swatches.items():
        words += ["--swatch", f"{name}={mark(region)}"]
    return words


def test_three_greys(greys):
    one, three = (measured(*words_of(greys, three=t)) for t in (False, True))
    assert (one["rung"], three["rung"]) == ("card", "greys")
    wide, narrow = (np.mean([r["give_or_take"] for r in a["swatches"]]) for a in (one, three))
    assert narrow < wide
    both = run("measure", *words_of(greys, three=True)[:-2], "--white", "1,2,3", ok=2)
    assert "x,y,half,L,a,b" in both.output


def test_known_swatches(greys, tmp_path):
    path, marks, _ = greys
    plain = measured(*words_of(greys, three=False))["swatches"]
    known = tmp_path / "known.csv"
    with known.open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["name", "L", "a", "b"])
        for row in plain[:6]:
            L, a, b = row["lab"]
            writer.writerow([row["name"], L + 2, a, b])
    if len(plain) >= 6:
        got = measured(*words_of(greys, three=False), "--known", known)
        assert got["rung"] == "known"
        assert got["swatches"][0]["lab"][0] > plain[0]["lab"][0] + 0.3
    known.write_text("name,L,a\nx,1,2\n")
    assert (
        "no column 'b'"
        in run("measure", *words_of(greys, three=False), "--known", known, ok=2).stderr
    )


def chart_words(reference, name):
    with (reference / "photos" / "patches.csv").open(newline="") as file:
        lines = [line for line in file if not line.startswith("#")]
    rows = {int(r["patch"]): r for r in csv.DictReader(lines) if r["photo"] == name}
    corners = " ".join(f"{rows[p]['x']},{rows[p]['y']}" for p in (1, 6, 24, 19))
    return corners, rows


def test_a_chart_in_the_frame_and_a_profile_of_the_camera(reference, tmp_path):
    """Real photos of a 24-patch chart, of the outside data."""
    first, second = "sheet_carpet_1.jpg", "sheet_carpet_2.jpg"
    corners, rows = chart_words(reference, first)
    place = f"green={rows[14]['x']},{rows[14]['y']},{float(rows[14]['half']):g}"
    path = reference / "photos" / first
    grey = f"{rows[22]['x']},{rows[22]['y']},{rows[22]['half']}"
    card = measured(path, "--card", grey, "--swatch", place)
    chart = measured(path, "--chart", corners, "--swatch", place)
    assert (card["rung"], chart["rung"]) == ("card", "chart")
    off = [float(delta_e2000(a["swatches"][0]["lab"], CHART_LAB[13])) for a in (card, chart)]
    assert off[1] < off[0]
    assert chart["swatches"][0]["give_or_take"] < card["swatches"][0]["give_or_take"]
    profile = tmp_path / "phone.json"
    flat = corners.replace(" ", ",")
    made = run("camera", "--chart", f"{path}={flat}", "--light", "carpet", "--out", profile)
    # Patches that read zero in a channel, or are clipped, are not gone by.
    assert any(f"{n} colours" in made.stdout for n in (22, 23, 24))
    assert sb.CameraProfile.load(profile).light == "carpet"
    there = run("camera", "--chart", f"{path}={flat}", "--light", "x", "--out", profile, ok=2)
    assert "already" in there.stderr
    corners, rows = chart_words(reference, second)
    grey = f"{rows[22]['x']},{rows[22]['y']},{rows[22]['half']}"
    place = f"green={rows[14]['x']},{rows[14]['y']},{rows[14]['half']}"
    words = [reference / "photos" / second, "--card", grey, "--swatch", place]
    assert measured(*words, "--camera", profile)["rung"] == "camera"


def test_a_chart_marked_the_wrong_way_round_is_refused(reference):
    name = "sheet_desk_1.jpg"
    corners, rows = chart_words(reference, name)
    path = reference / "photos" / name
    place = f"r={rows[9]['x']},{rows[9]['y']},12"
    first, sixth, last, nineteenth = corners.split()
    for turned in (
        (nineteenth, last, sixth, first),  # mirror-wise
        (last, nineteenth, first, sixth),  # upside down
        (sixth, first, nineteenth, last),
    ):
        told = run("measure", path, "--chart", " ".join(turned), "--swatch", place, ok=2)
        assert "centres of patches 1, 6, 24 and 19" in told.stderr
        assert "Warning" not in told.stderr
    crossed = " ".join((first, last, sixth, nineteenth))
    assert "cross" in run("measure", path, "--chart", crossed, "--swatch", place, ok=2).stderr


def test_known_swatches_with_their_names_mixed_up_are_refused(reference):
    name = "sheet_desk_1.jpg"
    _, rows = chart_words(reference, name)
    places = {str(p): sb.Region(float(rows[p]["x"]), float(rows[p]["y"]), 12) for p in range(1, 13)}
    card = sb.Card(sb.Region(float(rows[22]["x"]), float(rows[22]["y"]), 12), lab=CHART_LAB[21])
    path = reference / "photos" / name
    right = {n: CHART_LAB[int(n) - 1] for n in places}
    shot = sb.measure(path, card=card, known=right, swatches=places)
    assert next(c for c in shot.checks if c.name == "known swatches as known").level == "fine"
    wrong = {n: CHART_LAB[12 - int(n)] for n in places}
    with pytest.raises(sb.PhotoRefused, match="names and colours"):
        sb.measure(path, card=card, known=wrong, swatches=places)


def test_white_and_black_exchanged_are_refused(greys):
    path, marks, labs = greys
    lab = {k: ",".join(str(v) for v in labs[k]) for k in labs}
    words = words_of(greys, three=False)
    words += ["--white", f"{mark(marks.cards['black'])},{lab['white']}"]
    words += ["--black", f"{mark(marks.cards['white'])},{lab['black']}"]
    assert "Exchange their places" in run("measure", *words, ok=2).stderr


def test_a_further_card_and_paper_tell_of_the_light(greys):
    words = words_of(greys, three=False)
    path, marks, labs = greys
    white = f"{mark(marks.cards['white'])},{','.join(str(v) for v in labs['white'])}"
    got = measured(*words, "--further", white)
    assert not any("how even the light is" in n for r in got["swatches"] for n in r["notes"])
    assert "tells nothing" in run("measure", *words, "--paper", "40,40,15", ok=2).stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--chart", "1,2 3,4"], "eight numbers"),
        (["--chart-lab", "x.csv"], "add --chart"),
        (["--white", "1,2,3,90,0,0"], "black card both"),
        (["--further", "1,2"], "x,y,half"),
        (["--camera", "nothing.json"], "nothing.json"),
        (["--blank", "nothing.jpg"], "nothing.jpg"),
    ],
)
def test_what_cannot_be_is_one_sentence(words, said):
    path = SAMPLE / "photos" / "photo_01.jpg"
    told = run("measure", path, "--card", "798,900,97", "--swatch", "a=261,250,49", *words, ok=2)
    assert said in told.stderr and len(told.stderr.strip().splitlines()) == 1


def test_when_no_swatch_can_be_read_it_is_an_error():
    path = SAMPLE / "photos" / "photo_01.jpg"
    told = run("measure", path, "--card", "798,900,97", "--swatch", "a=5,5,70", ok=2)
    assert "reaches outside the photo" in told.stderr


@pytest.mark.parametrize(
    "verb", ["measure", "record", "photos", "suggest", "find", "compare", "delivery"]
)
def test_every_verb_that_reads_a_photo_takes_the_same_options(verb):
    command = main.get_command(None, verb)
    taken = {p.name for p in command.params}
    assert {f.name for f in dataclasses.fields(desk.InFrame)} <= taken
    one, two = (
        {p.name: (p.opts, p.metavar, getattr(p, "help", "")) for p in c.params}
        for c in (command, main.get_command(None, "measure"))
    )
    assert all(one[f.name] == two[f.name] for f in dataclasses.fields(desk.InFrame))


def recorded(folder, *words):
    run("record", *words, "--set", "fibre=wool", "--set", "dyestuff=weld", "--name", "a",
        "--library", folder)  # fmt: skip
    with sb.Library(folder) as lib:
        return lib.swatch("a").measured, lib.photos()[0].frame


def test_record_takes_three_greys_paper_and_a_sitting(greys, tmp_path):
    path, marks, labs = greys
    words = words_of(greys, three=True)
    swatch = next(i for i, w in enumerate(words) if w == "--swatch")
    place = words[swatch + 1].split("=")[1]
    words = [*words[:swatch], "--swatch", place, "--sitting", "noon"]
    for paper in marks.paper[:2]:
        words += ["--paper", mark(paper)]
    reading, frame = recorded(tmp_path / "lib", *words)
    assert reading.rung == "greys" and any(s.endswith(": noon") for s in reading.shared)
    assert frame["white"]["lab"] == list(labs["white"]) and len(frame["paper"]) == 2
    answer = measured(*words[:swatch], "--swatch", f"a={place}", *words[swatch + 2 :])
    assert answer["swatches"][0]["lab"] == pytest.approx(reading.lab.tolist())


def test_record_takes_a_touch_and_a_chart(reference, tmp_path):
    name = "sheet_carpet_1.jpg"
    corners, rows = chart_words(reference, name)
    place = f"{rows[14]['x']},{rows[14]['y']}"
    reading, frame = recorded(
        tmp_path / "lib", reference / "photos" / name, "--chart", corners, "--swatch", place
    )
    assert reading.rung == "chart" and len(frame["chart"]["corners"]) == 4
    assert "card" not in frame


def test_a_table_takes_what_holds_for_all_its_photos_and_no_places(tmp_path):
    table = tmp_path / "baths.csv"
    table.write_text("name,photo,fibre,dyestuff\n01a,photo_01.jpg,wool,weld\n", encoding="utf-8")
    words = ["record", "--baths", table, "--library", tmp_path / "lib"]
    marks = ["--marks", SAMPLE / "marks.csv", "--photos", SAMPLE / "photos"]
    told = run(*words, *marks, "--paper", "1,2,3", ok=2).stderr
    assert "--paper says where something lies in one photo" in told
    told = run(*words, "--sitting", "noon", ok=2).stderr
    assert "no table of marks" in told
    run(*words, *marks, "--sitting", "noon")
    with sb.Library(tmp_path / "lib") as lib:
        assert any(s.endswith(": noon") for s in lib.swatch("01a").measured.shared)
    assert "--camera-name goes with a photo" in run(
        "record", "--set", "fibre=wool", "--camera-name", "x", "--library", tmp_path / "lib", ok=2
    ).stderr  # fmt: skip
