"""The drawn sample: what dyers commonly report shows in it; its files agree with their truth."""

import csv
import importlib.util
from collections import Counter
from datetime import datetime, timedelta
from itertools import pairwise

import colour
import numpy as np
import pytest
from PIL import Image, ImageOps

from folders import ROOT

SAMPLE = ROOT / "sample_swatches"
TRUTH = ROOT / "tests" / "reference" / "sample_truth.csv"
SHADE_TRUTH = ROOT / "tests" / "reference" / "sample_shade.csv"


@pytest.fixture(scope="module")
def drawing():
    """The drawing code, which is a script beside the package and not part of it."""
    spec = importlib.util.spec_from_file_location("sample_draw", SAMPLE / "draw.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def by_photo(marks):
    """(photo, its marks) for each photo of a table of marks."""
    return [
        (p, [m for m in marks if m["photo"] == p]) for p in dict.fromkeys(m["photo"] for m in marks)
    ]


def upright(photo):
    with Image.open(SAMPLE / "photos" / photo) as image:
        return np.asarray(ImageOps.exif_transpose(image))


def part(picture, mark):
    x, y, half = int(mark["x"]), int(mark["y"]), int(mark["half"])
    return picture[y - half : y + half + 1, x - half : x + half + 1]


def chroma_hue(lab):
    return np.hypot(lab[1], lab[2]), np.degrees(np.arctan2(lab[2], lab[1])) % 360


BASE = {"fibre": "wool", "mordant": "alum", "mordant_owf": 12, "dye_owf": 60, "minutes": 60}
WELD = BASE | {"dyestuff": "weld", "temperature_C": 80, "pH": 6}
MADDER = BASE | {"dyestuff": "madder", "temperature_C": 60, "pH": 6.5}
WALNUT = BASE | {"dyestuff": "walnut hull", "temperature_C": 80, "pH": 6}
IRON = {"modifier": "iron", "modifier_owf": 2, "modifier_minutes": 10}
LYE = {"modifier": "ash lye", "modifier_pH": 9, "modifier_minutes": 5}


@pytest.mark.parametrize("seed", [0, 1, 17, 100_003])
class TestHouse:
    """Common practice, no source: directions only, in the sample's house and in others."""

    @pytest.mark.parametrize("bath", [WELD, MADDER, WALNUT])
    def test_iron_darkens_and_dulls(self, drawing, seed, bath):
        house = drawing.House(seed)
        plain, iron = house.true_lab(bath), house.true_lab(bath | IRON)
        assert iron[0] < plain[0] - 4
        assert chroma_hue(iron)[0] < chroma_hue(plain)[0] - 4

    def test_iron_turns_yellow_green(self, drawing, seed):
        house = drawing.House(seed)
        plain, iron = house.true_lab(WELD), house.true_lab(WELD | IRON)
        assert chroma_hue(iron)[1] > chroma_hue(plain)[1] + 8
        assert iron[1] < plain[1]

    def test_alkali_takes_yellow_to_gold(self, drawing, seed):
        house = drawing.House(seed)
        plain, lye = house.true_lab(WELD), house.true_lab(WELD | LYE)
        assert chroma_hue(lye)[0] > chroma_hue(plain)[0] + 5
        assert chroma_hue(lye)[1] < chroma_hue(plain)[1] - 0.5

    def test_madder_browns_when_hot(self, drawing, seed):
        house = drawing.House(seed)
        warm, hot = house.true_lab(MADDER), house.true_lab(MADDER | {"temperature_C": 85})
        mild = house.true_lab(MADDER | {"temperature_C": 68})
        assert chroma_hue(hot)[0] < chroma_hue(warm)[0] - 8
        assert colour.delta_E(warm, mild) < 3 < colour.delta_E(warm, hot)

    def test_less_mordant_is_paler(self, drawing, seed):
        house = drawing.House(seed)
        for bath in (WELD, MADDER):
            full, half, none = (
                house.true_lab(bath | {"mordant": kind, "mordant_owf": owf})
                for kind, owf in (("alum", 15), ("alum", 4), ("none", None))
            )
            assert full[0] < half[0] < none[0] - 2
            assert chroma_hue(none)[0] < chroma_hue(full)[0] - 4

    def test_reds_move_with_ph(self, drawing, seed):
        house = drawing.House(seed)
        hues = [chroma_hue(house.true_lab(MADDER | {"pH": ph}))[1] for ph in (4, 5.5, 7, 8)]
        assert hues == sorted(hues, reverse=True)
        assert hues[0] - hues[-1] > 10

    def test_more_dyestuff_is_deeper_less_and_less(self, drawing, seed):
        house = drawing.House(seed)
        light = [house.true_lab(MADDER | {"dye_owf": owf})[0] for owf in (10, 30, 50, 70)]
        steps = -np.diff(light)
        assert (steps > 0).all() and (np.diff(steps) < 0).all()


def test_pot_spread_is_about_one(drawing):
    """Two pots of one recipe: the median departure from the recipe is about 1 CIEDE2000."""
    house, rng = drawing.House(0), np.random.default_rng(3)
    baths = [WELD, MADDER, WALNUT, WELD | IRON, MADDER | LYE]
    off = [
        colour.delta_E(house.true_lab(bath), house.dye(bath, rng))
        for bath in baths
        for _ in range(30)
    ]
    assert 0.7 < np.median(off) < 1.5


def test_unknown_things_are_refused(drawing):
    house = drawing.House(0)
    for wrong in ({"fibre": "nylon"}, {"dyestuff": "woad"}, {"dyestuff_lot": "X"}):
        with pytest.raises(ValueError, match="this house"):
            house.true_lab(MADDER | wrong)


def test_texture_mean_is_the_true_colour(drawing):
    """Over the marked square the mean raw light, before the lamp's unevenness, is the true one."""
    rng, house = np.random.default_rng(5), drawing.House(2)
    spectra = {}
    for fibre, kind in [("wool", "yarn"), ("silk", "cloth"), ("silk", "yarn"), ("cotton", "cloth")]:
        spectra[f"{fibre} {kind}"] = house.reflectance(WELD | {"fibre": fibre})
    spectra["wool cloth"] = house.reflectance(MADDER | IRON)
    things = [(name, *name.split(), spectrum) for name, spectrum in spectra.items()]
    camera, light = drawing.random_camera(rng), drawing.random_light(rng)
    scene, marks = drawing.set_table(things, camera, light, rng, (700, 520))
    for mark in marks[1:]:
        reach = slice(mark["y"] - mark["half"], mark["y"] + mark["half"] + 1)
        across = slice(mark["x"] - mark["half"], mark["x"] + mark["half"] + 1)
        patch = scene.raw[reach, across].astype(float)
        true = scene.tint(spectra[mark["name"]])
        assert patch.mean((0, 1)) == pytest.approx(true, rel=1e-3)
        assert patch.std((0, 1)).max() > 0.01 * true.max()  # it is a texture, not a flat patch


def test_fresh_photos_repeat_and_differ(drawing):
    first, marks, labs = drawing.fresh_photo(5, n=4, size=(480, 360))
    again, marks_again, labs_again = drawing.fresh_photo(5, n=4, size=(480, 360))
    other, _, _ = drawing.fresh_photo(6, n=4, size=(480, 360))
    assert np.array_equal(first, again) and marks == marks_again
    assert all(np.array_equal(labs[name], labs_again[name]) for name in labs)
    assert first.shape == (360, 480, 3) and first.dtype == np.uint8
    assert not np.array_equal(first, other)
    assert {m["name"] for m in marks if m["kind"] == "swatch"} == set(labs)


def test_look_is_as_strong_as_real_cameras(drawing):
    """Real rendered chart photos after a grey gain: 5.0 median, 8.9 at the 95th percentile."""
    table = drawing.chart_check(24, 2, seed=1)
    middle, high = np.nanmedian(table, 2), np.nanpercentile(table, 95, axis=2)
    assert 4.0 < np.median(middle) < 6.5
    assert 7.0 < np.median(high) < 11.0


class TestFiles:
    """The shipped files against the truth file."""

    def test_swatches_lots_and_photos(self):
        baths, truth = rows(SAMPLE / "baths.csv"), rows(TRUTH)
        assert {r["name"] for r in baths} == {r["name"] for r in truth}
        assert len(truth) == 72 and len({r["photo"] for r in baths}) == 18
        assert 24 <= len({r["lot"] for r in baths}) <= 30
        by_photo = {
            p: {r["lot"] for r in baths if r["photo"] == p} for p in {r["photo"] for r in baths}
        }
        assert np.median([len(lots) for lots in by_photo.values()]) >= 3
        twice = len(baths) - len(truth)
        assert twice >= 6
        assert [r["name"] for r in baths if r["state"] == "wet"] == ["11a"]

    def test_marks_lie_on_their_photos(self):
        baths, marks = rows(SAMPLE / "baths.csv"), rows(SAMPLE / "marks.csv")
        wanted = {(r["photo"], r["name"]) for r in baths}
        assert {(m["photo"], m["name"]) for m in marks if m["kind"] == "swatch"} == wanted
        for photo in {m["photo"] for m in marks}:
            with Image.open(SAMPLE / "photos" / photo) as image:
                width, height = ImageOps.exif_transpose(image).size
            mine = [m for m in marks if m["photo"] == photo]
            assert sum(m["kind"] == "card" for m in mine) == 1
            greys = sorted(m["kind"] for m in mine if m["kind"] in ("white", "black"))
            assert greys in ([], ["black", "white"])
            bare = [m for m in mine if m["kind"] == "paper"]
            assert len(bare) in (0, 4, 5, 6)
            assert len(mine) == sum(
                m["kind"] in ("card", "swatch", "white", "black", "paper") for m in mine
            )
            for m in mine:
                x, y, half = int(m["x"]), int(m["y"]), int(m["half"])
                assert half >= (12 if m["kind"] == "paper" else 25)
                assert half <= x < width - half and half <= y < height - half

    def test_bare_paper_is_bare(self):
        """What is marked as paper is even, the lightest thing but the white card, and alike."""
        for photo, mine in by_photo(rows(SAMPLE / "marks.csv") + rows(SAMPLE / "shade.csv")):
            code = upright(photo)
            seen = {m["name"]: part(code, m).astype(float) for m in mine}
            paper = [seen[m["name"]] for m in mine if m["kind"] == "paper"]
            darkest = min((p.mean() for p in paper), default=np.inf)
            others = (seen[m["name"]].mean() for m in mine if m["kind"] not in ("paper", "white"))
            assert darkest > max(others) or not paper
            for one in paper:
                assert one.std((0, 1)).max() < 8
                assert one.mean() > 0.75 * max(p.mean() for p in paper)

    def test_marked_places_look_like_their_truth(self):
        """After a plain grey gain the marked squares are near the true colours, slips and all."""
        marks = rows(SAMPLE / "marks.csv") + rows(SAMPLE / "shade.csv")
        truth = {r["name"]: np.array([float(r[k]) for k in "Lab"]) for r in rows(TRUTH)}
        truth |= {r["name"]: np.array([float(r[k]) for k in "Lab"]) for r in rows(SHADE_TRUTH)}
        wet = {(r["photo"], r["name"]) for r in rows(SAMPLE / "baths.csv") if r["state"] == "wet"}
        off = []
        for photo, mine in by_photo(marks):
            if photo not in ("photo_03.jpg", "photo_09.jpg", "photo_13.jpg", "shade_01.jpg"):
                continue
            linear = colour.models.eotf_sRGB(upright(photo) / 255)
            means = {m["name"]: part(linear, m).mean((0, 1)) for m in mine}
            for name in means:
                if name in truth and (photo, name) not in wet:
                    rgb = means[name] * 0.18 / means["card"]
                    lab = colour.XYZ_to_Lab(colour.sRGB_to_XYZ(rgb, apply_cctf_decoding=False))
                    off.append(colour.delta_E(lab, truth[name]))
        assert np.median(off) < 8 and max(off) < 20

    def test_two_slips_are_told_in_the_truth_only(self):
        slips = [r for r in rows(TRUTH) if r["slip_column"]]
        assert {(r["lot"], r["slip_column"]) for r in slips} == {("09", "pH"), ("23", "minutes")}
        typed = {r["name"]: r for r in rows(SAMPLE / "baths.csv")}
        for r in slips:
            assert float(typed[r["name"]][r["slip_column"]]) == float(r["typed"])
            assert float(r["typed"]) != float(r["true_value"])

    def test_repeated_lot_came_out_different(self):
        truth = {r["name"]: np.array([float(r[k]) for k in "Lab"]) for r in rows(TRUTH)}
        for part in "abc":
            assert colour.delta_E(truth["20" + part], truth["21" + part]) > 3

    def test_baths_keep_the_cautions(self):
        """Common practice, no source: gentle heat and little alkali on wool and silk."""
        for row in rows(SAMPLE / "baths.csv"):
            hot, fibre = float(row["temperature_C"]), row["fibre"]
            ph = float(row["pH"]) if row["pH"] else 7.0
            assert 40 <= hot <= (80 if fibre == "silk" else 90)
            assert ph <= (10 if fibre == "cotton" else 8)
            if row["modifier"] == "ash lye":
                assert fibre != "silk"
                assert float(row["modifier_pH"]) <= (10 if fibre == "cotton" else 9)
            if row["modifier"] == "iron":
                assert float(row["modifier_owf"]) <= (4 if fibre == "wool" else 2)
            if row["dyestuff"] == "madder" and hot > 70:
                assert row["lot"] in ("17", "18")

    def test_folder_is_small_and_turned_and_profiled(self):
        photos = sorted((SAMPLE / "photos").glob("*.jpg"))
        assert [p.name for p in photos if p.name.startswith("shade")] == ["shade_01.jpg"]
        assert len(photos) == 19
        assert sum(p.stat().st_size for p in SAMPLE.rglob("*") if p.is_file()) <= 8_000_000
        tags, profiles = [], []
        for path in photos:
            with Image.open(path) as image:
                tags.append(image.getexif().get(0x0112, 1))
                profiles.append(image.info.get("icc_profile", b""))
        assert sum(t != 1 for t in tags) >= 2
        assert any(b"P3" in p for p in profiles) and any(p == b"" for p in profiles)

    def test_most_photos_are_by_one_named_camera_in_sittings(self):
        """Two photos a dye day within minutes, after its day; two without EXIF; a second phone."""
        sessions = {}
        for row in rows(SAMPLE / "baths.csv"):
            sessions.setdefault(row["photo"], set()).add(row["session"])
        named, taken = {}, {}
        for path in sorted((SAMPLE / "photos").glob("*.jpg")):
            with Image.open(path) as image:
                exif = image.getexif()
                named[path.name] = (exif.get(0x010F), exif.get(0x0110))
                time = exif.get_ifd(0x8769).get(0x9003)
            if time:
                taken[path.name] = datetime.strptime(time, "%Y:%m:%d %H:%M:%S")
        count = Counter(named.values())
        assert count[None, None] == 2 and len(count) == 3 and max(count.values()) >= 13
        assert set(taken) == {p for p, camera in named.items() if camera != (None, None)}
        for photo, days in sessions.items():
            if photo in taken:
                assert taken[photo] > datetime.fromisoformat(max(days))
        ordered = [taken[p] for p in sorted(sessions) if p in taken]
        assert ordered == sorted(ordered)
        close = [b - a < timedelta(minutes=10) for a, b in pairwise(ordered)]
        assert sum(close) >= 6
        assert taken["shade_01.jpg"] - ordered[-1] > timedelta(days=1)

    def test_the_wanted_shade_touches_three_of_her_own_near_in_colour(self):
        marks, truth = rows(SAMPLE / "shade.csv"), {r["name"]: r for r in rows(TRUTH)}
        wanted = np.array([float(rows(SHADE_TRUTH)[0][k]) for k in "Lab"])
        beside = [m for m in marks if m["kind"] == "beside"]
        assert len(beside) == 3
        for mark in beside:
            own = np.array([float(truth[mark["name"]][k]) for k in "Lab"])
            assert 2 < np.linalg.norm(own - wanted) < 10
        assert [m["name"] for m in marks if m["kind"] == "swatch"] == ["scrap"]


class TestFreshPhotos:
    """What tests ask of photos drawn for them."""

    def test_camera_light_and_pots_can_be_given(self, drawing):
        rng = np.random.default_rng(8)
        camera, light = drawing.random_camera(rng), drawing.random_light(rng)
        pots = drawing.fresh_pots(rng, drawing.House(3), 3)
        taken = [
            drawing.fresh_photo(
                seed, size=(480, 360), camera=camera, light=light, pots=pots, ground="paper"
            )
            for seed in (1, 2)
        ]
        for array, marks, labs in taken:
            assert array.shape == (360, 480, 3)
            assert {m["name"] for m in marks if m["kind"] == "swatch"} == set(labs)
            assert sum(m["kind"] == "paper" for m in marks) >= 3
            for name, _, _, reflectance in pots:
                assert labs[name] == pytest.approx(drawing.reflectance_to_lab(reflectance))
        assert not np.array_equal(taken[0][0], taken[1][0])

    def test_things_that_touch_touch(self, drawing):
        for count in (2, 3, 4, 7):
            _, marks, _ = drawing.fresh_photo(4, count, (640, 480), layout="touching")
            at = np.array([(m["x"], m["y"]) for m in marks if m["kind"] == "swatch"])
            apart = np.linalg.norm(at[:, None] - at[None], axis=-1) + 1e9 * np.eye(count)
            assert (apart.min(1) < 0.27 * 640).all()
            half = max(m["half"] for m in marks if m["kind"] == "swatch")
            assert apart.min() > 2 * half

    @pytest.mark.parametrize("by", [3, 6, 10])
    def test_a_faded_copy_is_paler_by_what_was_asked(self, drawing, by):
        dyed = drawing.House(0).reflectance(MADDER)
        old, new = (drawing.reflectance_to_lab(r) for r in (dyed, drawing.faded(dyed, by)))
        assert colour.delta_E(old, new, method="CIE 2000") == pytest.approx(by, abs=0.01)
        assert new[0] > old[0] and chroma_hue(new)[0] < chroma_hue(old)[0]
        assert np.array_equal(drawing.faded(dyed, 0), dyed)
        with pytest.raises(ValueError, match="too pale"):
            drawing.faded(np.full(81, 0.8), by)

    def test_uneven_light_is_as_uneven_as_asked(self, drawing):
        """Brightness from end to end of a line of a diagonal's length, whatever its direction."""
        light, size = drawing.random_light(np.random.default_rng(2)), (400, 300)
        for share in (0.0, 0.1, 0.3):
            for angle in (0.0, 1.0, 2.5):
                lit = drawing.uneven(light, share, angle, size)
                per_pixel = np.array(lit.slope) / size
                assert np.linalg.norm(per_pixel) * 500 == pytest.approx(np.log1p(share))
                if share:
                    assert np.arctan2(*per_pixel[::-1]) == pytest.approx(angle)


def test_p3_profile_reads_back(drawing, tmp_path):
    """A colour saved in P3 comes back in sRGB through the embedded profile, read by Pillow."""
    import io

    from PIL import ImageCms

    wanted = np.array([0.55, 0.30, 0.25])
    p3 = colour.RGB_to_RGB(
        wanted, "sRGB", "Display P3", apply_cctf_decoding=True, apply_cctf_encoding=True
    )
    flat = np.tile(np.round(255 * p3).astype(np.uint8), (32, 32, 1))
    drawing.save_jpeg(tmp_path / "flat.jpg", flat, quality=98, space="P3")
    with Image.open(tmp_path / "flat.jpg") as image:
        embedded = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
        back = ImageCms.profileToProfile(image, embedded, ImageCms.createProfile("sRGB"))
    assert np.asarray(back)[16, 16] / 255 == pytest.approx(wanted, abs=0.012)
