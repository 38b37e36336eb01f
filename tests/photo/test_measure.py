"""Photos to colours: on real chart photos, on drawn ones with known truth, and on what is wrong."""

import csv
import importlib.util
import json
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import swatchbath as sb
from folders import ROOT
from swatchbath.colorimetry import WHITE_D50, WHITE_D65, bradford, lab_to_xyz, xyz_to_lab
from swatchbath.colorimetry.covariance import region_radius
from swatchbath.photo import read_photo
from swatchbath.photo.correction.error_model import model_from

SAMPLE = ROOT / "sample_swatches"
# Of what is stated, a Student's t of 6 degrees, in units of its covariance.
INSIDE_90 = region_radius(0.9, 6)


def drawing():
    """The drawing code, which shares nothing with the package."""
    if "draw" in sys.modules:
        return sys.modules["draw"]
    spec = importlib.util.spec_from_file_location("draw", SAMPLE / "draw.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["draw"] = module
    spec.loader.exec_module(module)
    return module


def to_d65(lab):
    return xyz_to_lab(lab_to_xyz(lab, WHITE_D50) @ bradford(WHITE_D50, WHITE_D65).T)


def regions(marks):
    """The card's and the swatches' places of a drawn photo."""
    places = {m["name"]: sb.Region(m["x"], m["y"], m["half"]) for m in marks}
    kinds = {m["name"]: m["kind"] for m in marks}
    return (
        next(p for n, p in places.items() if kinds[n] == "card"),
        {n: p for n, p in places.items() if kinds[n] == "swatch"},
    )


@pytest.fixture(scope="module")
def chart_photos(reference):
    """photo -> {patch: (Region, Lab D65)} of real chart photos by others."""
    found = {}
    with open(reference / "photos" / "patches.csv", encoding="utf-8") as file:
        for r in csv.DictReader(file):
            place = sb.Region(float(r["x"]), float(r["y"]), float(r["half"]))
            lab = to_d65([float(r[k]) for k in ("L", "a", "b")])
            found.setdefault(reference / "photos" / r["photo"], {})[int(r["patch"])] = place, lab
    return found


def swatch(lab, light, codes=None):
    """A plain picture: a card of 18 % and one patch, as linear sRGB light."""
    picture = np.full((120, 200, 3), 0.18)
    picture[:, 100:] = light
    return picture


def saved(tmp_path, light, name="p.png"):
    from swatchbath.colorimetry import srgb_encode

    codes = np.rint(np.clip(srgb_encode(light), 0, 1) * 255).astype(np.uint8)
    Image.fromarray(codes).save(tmp_path / name)
    return tmp_path / name


CARD, PATCH = sb.Region(50, 60, 40), {"A": sb.Region(150, 60, 40)}


@pytest.fixture
def plain(tmp_path):
    rng = np.random.default_rng(0)
    light = np.full((120, 200, 3), 0.18)
    light[:, 100:] = [0.35, 0.2, 0.08]
    return saved(tmp_path, light * rng.normal(1, 0.01, (120, 200, 1)))


def test_the_card_itself_reads_as_its_own_colour(plain):
    shot = sb.measure(plain, card=sb.Card(CARD, lab=[52, 1, -1]), swatches={"card": CARD})
    assert sb.delta_e2000(shot["card"].lab, [52, 1, -1]) < 0.3


def test_a_reading_says_how_it_was_come_by(plain):
    m = sb.measure(plain, card=CARD, swatches=PATCH)["A"]
    assert m.rung == "card"
    assert (m.light, m.observer) == ("D65", "2")
    assert m.notes[0] == "assumed sRGB: the photo has no colour profile"
    assert np.allclose(m.covariance, m.repeatability + m.trueness)
    assert np.linalg.eigvalsh(m.repeatability).min() > -1e-9
    assert all(c.level == "fine" for c in m.checks)


def test_like_colours_share_their_error_and_unlike_ones_less(tmp_path):
    light = np.full((120, 300, 3), 0.18)
    light[:, 100:200] = [0.35, 0.2, 0.08]
    light[:40, 200:] = [0.36, 0.2, 0.08]
    light[40:80, 200:] = [0.05, 0.1, 0.3]
    path = saved(tmp_path, light)
    shot = sb.measure(
        path,
        card=CARD,
        swatches={
            "A": sb.Region(150, 20, 15),
            "like": sb.Region(250, 20, 15),
            "unlike": sb.Region(250, 60, 15),
        },
    )

    def doubt(other):
        x = sb.cross_covariance(shot["A"], shot[other])
        return np.trace(shot["A"].covariance + shot[other].covariance - x - x.T)

    assert doubt("like") < 0.5 * doubt("unlike")
    assert doubt("like") < 0.5 * np.trace(shot["A"].covariance)


def test_brightness_between_card_and_swatch_is_doubted_more_when_they_lie_apart(tmp_path):
    light = np.full((120, 400, 3), 0.18)
    light[:, 100:] = [0.35, 0.2, 0.08]
    path = saved(tmp_path, light)
    shot = sb.measure(
        path, card=CARD, swatches={"near": sb.Region(150, 60, 30), "far": sb.Region(360, 60, 30)}
    )
    assert shot["far"].trueness[0, 0] > shot["near"].trueness[0, 0] + 1


def test_a_linear_file_needs_no_curve(tmp_path):
    codes = np.full((120, 200, 3), 46, np.uint8)
    codes[:, 100:] = [90, 50, 20]
    Image.fromarray(codes).save(tmp_path / "l.tif")
    m = sb.measure(tmp_path / "l.tif", card=CARD, swatches=PATCH, encoding="linear")["A"]
    from swatchbath.colorimetry import linear_srgb_to_xyz

    wanted = xyz_to_lab(linear_srgb_to_xyz(np.array([90, 50, 20]) / 46 * 0.18))
    # The camera's primaries are not known: near what sRGB's would give, with a wide doubt.
    assert sb.delta_e2000(m.lab, wanted) < 12
    assert np.trace(m.covariance) > 50


def test_a_quarter_turn_changes_nothing(tmp_path):
    array, marks, _ = drawing().fresh_photo(5)
    image = Image.fromarray(array)
    image.save(tmp_path / "a.png")
    exif = Image.Exif()
    exif[0x0112] = 6
    image.transpose(Image.Transpose.ROTATE_90).save(tmp_path / "b.png", exif=exif)
    card, swatches = regions(marks)
    one = sb.measure(tmp_path / "a.png", card=card, swatches=swatches)
    two = sb.measure(tmp_path / "b.png", card=card, swatches=swatches)
    assert len(one) > 0
    for name in one:
        assert two[name].lab == pytest.approx(one[name].lab, abs=1e-9)


# What is wrong gets a sentence.


def test_no_card_is_said(plain):
    with pytest.raises(sb.PhotoRefused, match="No grey card"):
        sb.measure(plain, swatches=PATCH)


def test_a_card_outside_the_frame_is_said(plain):
    with pytest.raises(sb.PhotoRefused, match="outside the photo"):
        sb.measure(plain, card=sb.Region(195, 60, 40), swatches=PATCH)


@pytest.mark.parametrize(("value", "says"), [(1.0, "clipped"), (0.0005, "too dark")])
def test_a_clipped_or_black_card_is_refused_with_its_checks(tmp_path, value, says):
    light = np.full((120, 200, 3), value)
    light[:, 100:] = [0.35, 0.2, 0.08]
    with pytest.raises(sb.PhotoRefused, match=says) as caught:
        sb.measure(saved(tmp_path, light), card=CARD, swatches=PATCH)
    assert any(c.level == "refused" for c in caught.value.checks)


def test_one_bad_swatch_does_not_stop_the_others(plain):
    shot = sb.measure(plain, card=CARD, swatches=PATCH | {"B": sb.Region(900, 60, 40)})
    assert list(shot) == ["A"]
    assert "outside" in shot.refused["B"]
    with pytest.raises(sb.PhotoRefused, match="outside"):
        shot["B"]
    with pytest.raises(sb.NotFound, match="no swatch|No swatch"):
        shot["C"]


def test_three_greys_need_their_colours(plain):
    cards = [sb.Card(CARD), sb.Card(CARD), sb.Card(CARD)]
    with pytest.raises(sb.BadValue, match="Three greys"):
        sb.measure(plain, card=cards, swatches=PATCH)


def test_too_few_known_swatches_are_refused(plain):
    with pytest.raises(sb.BadValue, match="at least 6"):
        sb.measure(plain, card=CARD, swatches=PATCH, known={"A": [50, 10, 10]})


def test_clipped_fibre_may_be_lighter_than_it_reads(tmp_path):
    """The doubt along the way to black grows by half the share that is clipped, as light."""
    rng = np.random.default_rng(0)
    light = np.full((120, 200, 3), 0.18)
    light[:, 100:] = [0.8, 0.6, 0.3]
    light *= rng.normal(1, 0.01, (120, 200, 1))
    whole = sb.measure(saved(tmp_path, light, "a.png"), card=CARD, swatches=PATCH)["A"]
    light[:, 100:][rng.random((120, 100)) < 0.08] = 1.0
    clipped = sb.measure(saved(tmp_path, light, "b.png"), card=CARD, swatches=PATCH)["A"]
    assert any(c.level == "doubtful" and "clipped" in c.sentence for c in clipped.checks)

    def unshared(m):
        """What a reading's trueness has that no source of the frame brings."""
        return m.trueness - sum(a @ a.T for a in m.shared.values())

    lab = clipped.lab
    lighter = xyz_to_lab(lab_to_xyz(lab) * np.exp(0.01)) - xyz_to_lab(lab_to_xyz(lab))
    lost = lighter / 0.01 * 0.5 * 0.08
    more = unshared(clipped) - unshared(whole)
    assert np.trace(more) == pytest.approx(lost @ lost, rel=0.35)


# How true it is.


def fresh(folder, number):
    """[(reading, true Lab)] by photo, of so many drawn cameras and houses, new seeds."""
    photos = []
    for seed in range(number):
        array, marks, truth = drawing().fresh_photo(seed)
        drawing().save_jpeg(folder / "p.jpg", array)
        card, swatches = regions(marks)
        try:
            shot = sb.measure(folder / "p.jpg", card=card, swatches=swatches)
        except sb.PhotoRefused:
            continue
        photos.append([(shot[n], np.array(truth[n])) for n in shot])
    return photos


def inside(m, truth):
    e = m.lab - truth
    return e @ np.linalg.solve(m.covariance, e) <= INSIDE_90


@pytest.mark.parametrize("photos", [12, pytest.param(64, marks=pytest.mark.slow)])
def test_nine_in_ten_true_colours_lie_in_the_stated_regions(photos, tmp_path):
    held = [inside(m, truth) for photo in fresh(tmp_path, photos) for m, truth in photo]
    assert len(held) > 5 * photos
    assert 0.85 <= np.mean(held) <= 0.95


@pytest.fixture(scope="module")
def sample_shots():
    from swatchbath import desk
    from swatchbath.desk.photo.marks import read_cards, read_marks
    from swatchbath.desk.photo.measure import measure_all

    assert desk
    marks = read_marks(SAMPLE / "marks.csv")
    labs = read_cards(SAMPLE / "cards.csv")
    done, refused = measure_all(SAMPLE / "photos", marks, marks, card_labs=labs)
    return {name: one.shot for name, one in done.items()}, refused


def sample_truth():
    with open(ROOT / "tests" / "reference" / "sample_truth.csv", encoding="utf-8") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {r["name"]: r for r in rows}


def test_the_sample_is_measured_within_its_doubt(sample_shots):
    shots, refused = sample_shots
    assert refused == {}
    truth = sample_truth()
    held, errors = [], []
    for photo, shot in shots.items():
        assert not shot.refused
        for name in shot:
            if (photo, name) == ("photo_16.jpg", "11a"):  # photographed wet
                continue
            true = np.array([float(truth[name][k]) for k in ("L", "a", "b")])
            held.append(inside(shot[name], true))
            errors.append(float(sb.delta_e2000(shot[name].lab, true)))
    assert np.mean(held) >= 0.75
    assert np.median(errors) < 7


def plain_decode(path, place, encoding):
    photo = read_photo(path, encoding=encoding)
    x, y, h = round(place.x), round(place.y), int(place.half)
    light = photo.light(photo.pixels[y - h : y + h + 1, x - h : x + h + 1]).mean(axis=(0, 1))
    from swatchbath.colorimetry import linear_srgb_to_xyz

    return xyz_to_lab(linear_srgb_to_xyz(light))


# Camera family of each outside photo, as in tests/reference/chart_readings.csv.
FAMILY = {
    "sheet": "jtvd_phone",
    "small": "jtvd_phone",
    "folding_sun": "NIKON D300",
    "folding_shade": "unknown",
    "booth": "plant booth",
}


@pytest.fixture
def without_family(monkeypatch):
    """Makes `measure` use the constants fitted without a family of cameras."""
    left_out = json.loads(
        (ROOT / "tests/reference/typical_camera_left_out.json").read_text("utf-8")
    )
    stored = json.loads(
        (ROOT / "src/swatchbath/photo/correction/typical_camera.json").read_text("utf-8")
    )

    def use(family):
        model = model_from(left_out["rendered"][family], stored["frequencies"])
        monkeypatch.setattr(
            "swatchbath.photo.correction.corrections.load_model", lambda encoding: model
        )

    return use


def test_real_chart_photos_on_the_card_rung(chart_photos, without_family):
    # Photos of a 24-patch chart by others (origin in the outside folder's README); patch 22 as
    # the card, 1 to 18 as swatches; each camera scored with constants fitted without its family.
    rows = {}
    for path, patches in chart_photos.items():
        if path.suffix == ".tif":
            continue
        family = next(f for start, f in FAMILY.items() if path.name.startswith(start))
        without_family(family)
        swatches = {str(k): patches[k][0] for k in range(1, 19)}
        shot = sb.measure(path, card=sb.Card(patches[22][0], lab=patches[22][1]), swatches=swatches)
        known = {n: patches[int(n)][1] for n in shot}
        errors = [float(sb.delta_e2000(shot[n].lab, known[n])) for n in shot]
        decoded = [
            float(sb.delta_e2000(plain_decode(path, patches[int(n)][0], None), known[n]))
            for n in shot
        ]
        rows[path.name] = family, np.median(errors), np.percentile(errors, 95), np.median(decoded)
    figures = np.array([row[1:] for row in rows.values()])
    one_each = np.array(list({row[0]: row[1:] for row in rows.values()}.values()))
    for name, table in (("photos", figures), ("one photo a camera", one_each)):
        print(name, len(table), "median, 95th, as decoded:", np.median(table, axis=0).round(1))
    median, tail, decoded = np.median(figures, axis=0)
    assert median <= 5.0
    assert tail <= 9.5
    assert decoded - median >= 2.5


def test_a_real_linear_file_of_unknown_primaries_is_read_with_a_wide_doubt(chart_photos):
    path = next(p for p in chart_photos if p.suffix == ".tif")
    patches = chart_photos[path]
    shot = sb.measure(
        path,
        card=sb.Card(patches[22][0], lab=patches[22][1]),
        swatches={str(k): patches[k][0] for k in range(1, 19)},
        encoding="linear",
    )
    held = [inside(shot[n], patches[int(n)][1]) for n in shot]
    assert len(held) >= 12
    assert np.mean(held) >= 0.75


def test_a_chart_of_which_only_one_grey_is_used_serves_as_a_card(reference):
    """Outside data's chart photos; all patches but 22 are left out."""
    with (Path(reference) / "photos" / "patches.csv").open(newline="") as file:
        lines = [line for line in file if not line.startswith("#")]
    rows = [r for r in csv.DictReader(lines) if r["photo"] == "sheet_desk_1.jpg"]
    at = {int(r["patch"]): (float(r["x"]), float(r["y"])) for r in rows}
    chart = sb.Chart([at[p] for p in (1, 6, 24, 19)], leave_out=[p for p in at if p != 22])
    shot = sb.measure(
        Path(reference) / "photos" / "sheet_desk_1.jpg",
        chart=chart,
        swatches={"a": sb.Region(*at[9], 12)},
    )
    assert "a" in shot
