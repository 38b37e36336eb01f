"""The photo sheet found again in drawn photos of it, whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import sheet_drawing as drawn
from folders import SAMPLE
from swatchbath.errors import BadValue
from swatchbath.photo.file.read import read_photo
from swatchbath.photo.place.region import read_region
from swatchbath.photo.sheet import layout as sl
from swatchbath.photo.sheet.detect import find_sheet
from swatchbath.photo.sheet.homography import homography, inverse, project, sample
from swatchbath.photo.sheet.qr import grey_picture, read_codes

CODES = ("3467A", "ACDEF", "HJKMN", "PRTXY", "77777", "T4H3X")
ALL = {1: "3467A", 2: "ACDEF", 3: "HJKMN", 4: "PRTXY", 5: "77777", 6: "T4H3X", 7: "7", 8: "8"}
UPRIGHT = (1050, 1400)


@pytest.fixture(scope="module")
def eight():
    """An A4 sheet with eight swatches, six of them with codes, and a card."""
    return drawn.draw_sheet(8, "A4", codes=CODES, rng=np.random.default_rng(11))


def photograph(sheet, folder, seed=0, **how):
    layout, light = sheet
    camera = drawn.Camera(**({"size": UPRIGHT} | how))
    return drawn.take(layout, light, camera, np.random.default_rng(seed), folder)


def worst(sheet, truth):
    """The largest distance in mm of a found place's corner from the true one."""
    layout = sheet.layout
    pairs = [(sheet.swatches[n], layout.swatches[k - 1].read) for n, k in sheet.numbers.items()]
    pairs += [(sheet.card, layout.card.read)] if sheet.card else []
    off = [
        drawn.millimetres(truth, layout, np.array(region.points)) - box.corners()
        for region, box in pairs
    ]
    return float(np.hypot(*np.concatenate(off).T).max())


@pytest.mark.parametrize(
    "how",
    [
        {},
        {"turn": 180, "tilt": 20, "toward": 30},
        {"turn": 90, "tilt": 25, "toward": 70, "size": (1400, 1050)},
        {"turn": -37, "tilt": 10},
        {"dim": 0.1, "noise": 0.01, "uneven": 0.8},
        {"blur": 1.4, "noise": 0.015},
        {"hide": ("top left",)},
        {"hide": ("bottom right",), "tilt": 18, "turn": 100, "size": (1400, 1050)},
    ],
    ids=str,
)
def test_places_are_found_within_half_a_millimetre_and_named(eight, how, tmp_path):
    photo, truth = photograph(eight, tmp_path, **how)
    sheet = find_sheet(photo)
    assert sheet.refusal == ""
    assert (sheet.layout.places, sheet.layout.paper) == (8, "A4")
    assert len(sheet.found) == 4 - len(how.get("hide", ()))
    assert sheet.numbers == {name: number for number, name in ALL.items()}
    assert set(sheet.swatches) == set(sheet.paper) == set(ALL.values())
    assert sheet.card is not None and sheet.empty == ()
    assert worst(sheet, truth) < 0.5


def test_bare_paper_is_bare_and_beside_its_swatch(eight, tmp_path):
    photo, truth = photograph(eight, tmp_path, turn=15)
    sheet = find_sheet(photo)
    layout = sheet.layout
    for name, regions in [*sheet.paper.items(), ("card", sheet.card_paper)]:
        assert len(regions) == 2
        place = layout.swatches[sheet.numbers[name] - 1] if name != "card" else layout.card
        for region in regions:
            reading = read_region(photo, region, what="paper")
            # Lighter than anything else here and even: the light falls by 10 % over the picture.
            assert reading.rgb.min() > 0.6 and reading.spread < 0.03
            mm = drawn.millimetres(truth, layout, np.array(region.points))
            gap = np.abs(mm.mean(axis=0) - place.frame.centre)
            assert gap[0] < place.frame.width / 2 + 8 and gap[1] < 1


def test_two_hidden_corners_ask_for_marks(eight, tmp_path):
    photo, _ = photograph(eight, tmp_path, hide=("top left", "bottom right"))
    sheet = find_sheet(photo)
    assert "Two of the sheet's four corner codes" in sheet.refusal
    assert "top right and bottom left" in sheet.refusal and "mark the card" in sheet.refusal
    assert sheet.card is None and sheet.swatches == {} and sheet.paper == {}


def test_curled_paper_is_said_and_still_near(eight, tmp_path):
    photo, truth = photograph(eight, tmp_path, curl=5, tilt=8)
    sheet = find_sheet(photo)
    assert worst(sheet, truth) < 1.5
    assert any("does not lie flat" in note for note in sheet.notes)


@pytest.mark.parametrize(("places", "paper"), [(4, "Letter"), (1, "A4")])
def test_sheet_without_codes_goes_by_numbers(places, paper, tmp_path):
    sheet = drawn.draw_sheet(places, paper, rng=np.random.default_rng(3))
    photo, truth = photograph(sheet, tmp_path, tilt=8)
    found = find_sheet(photo)
    assert list(found.swatches) == [str(i + 1) for i in range(places)]
    assert found.layout.paper == paper and worst(found, truth) < 0.5


def test_bare_places_and_a_missing_card_are_told(tmp_path):
    rng = np.random.default_rng(4)
    sheet = drawn.draw_sheet(
        8, "Letter", codes=("3467A", "3467A"), filled=[1, 2, 5], card=False, rng=rng
    )
    photo, _ = photograph(sheet, tmp_path, turn=5, dim=0.4)
    found = find_sheet(photo)
    assert set(found.swatches) == {"3467A", "2", "5"}
    assert found.empty == ("3", "4", "6", "7", "8")
    assert found.card is None
    assert any("No grey card" in note for note in found.notes)
    assert any("3467A lies at two places" in note for note in found.notes)


def test_two_sheets_are_refused(eight, tmp_path):
    photo, _ = photograph(eight, tmp_path)
    both = replace(photo, picture=np.concatenate([photo.pixels, photo.pixels], axis=1))
    assert "More than one photo sheet" in find_sheet(both).refusal


def test_no_sheet_is_none():
    assert find_sheet(read_photo(SAMPLE / "photos" / "photo_01.jpg")) is None


def test_a_turned_picture_gives_the_same_places(eight, tmp_path):
    photo, _ = photograph(eight, tmp_path, tilt=12)
    turned = replace(photo, picture=np.ascontiguousarray(np.rot90(photo.pixels, 2)))
    first, second = find_sheet(photo), find_sheet(turned)
    width, height = photo.size
    for name, region in first.swatches.items():
        back = np.array([width - 1, height - 1]) - np.array(second.swatches[name].points)
        assert np.abs(back - np.array(region.points)).max() < 0.3


class TestLayout:
    """The sheet's own rules."""

    @pytest.mark.parametrize("paper", sl.PAPERS)
    @pytest.mark.parametrize("places", [*sl.PLACES, sl.OWN_SHEET])
    def test_nothing_overlaps_and_margins_hold(self, places, paper):
        layout = sl.sheet_layout(places, paper)
        quiet = sl.QUIET * sl.CORNER_CODE / sl.MODULES
        boxes = [
            sl.Box(b.x - quiet, b.y - quiet, b.width + 2 * quiet, b.height + 2 * quiet)
            for b in layout.corners.values()
        ]
        everything = [layout.card, *layout.swatches]
        boxes += [place.frame for place in everything]
        boxes += [place.code for place in layout.swatches]
        for i, one in enumerate(boxes):
            for other in boxes[:i]:
                apart_x = max(one.x, other.x) - min(one.x + one.width, other.x + other.width)
                apart_y = max(one.y, other.y) - min(one.y + one.height, other.y + other.height)
                assert max(apart_x, apart_y) >= 0.5
        for box in [*layout.corners.values(), *(p.frame for p in everything)]:
            right, bottom = layout.width - box.x - box.width, layout.height - box.y - box.height
            assert min(box.x, box.y, right, bottom) >= 10
        bare = {(b.x, b.y, b.width, b.height) for place in everything for b in place.paper}
        assert len(bare) >= 4
        for x, y, width, height in bare:
            assert 2 <= x and x + width <= layout.width - 2
            for box in boxes:
                beside = x + width <= box.x or box.x + box.width <= x
                assert beside or y + height <= box.y or box.y + box.height <= y

    @pytest.mark.parametrize(("places", "paper"), [(2, "A4"), (4, "A5")])
    def test_other_sheets_are_refused(self, places, paper):
        with pytest.raises(BadValue, match="photo sheet has|choose A4 or Letter"):
            sl.sheet_layout(places, paper)

    def test_corner_text_comes_back_and_a_slip_is_noticed(self):
        for places in (*sl.PLACES, sl.OWN_SHEET):
            for paper in sl.PAPERS:
                for corner in sl.CORNERS:
                    text = sl.corner_text(places, paper, corner)
                    assert sl.read_corner_text(text) == (sl.VERSION, places, paper, corner)
                    for i, wrong in ((12, "4"), (14, "4"), (15, "Q")):
                        slip = text[:i] + wrong + text[i + 1 :]
                        assert slip == text or sl.read_corner_text(slip) is None
        assert sl.read_corner_text("https://example.org") is None
        assert sl.read_swatch_text("3467A") is None
        assert sl.read_swatch_text(sl.swatch_text("3467A")) == "3467A"


@given(st.lists(st.floats(-0.15, 0.15), min_size=8, max_size=8), st.floats(0.1, 3000))
def test_homography_returns_its_points(bends, size):
    """Four corners moved by up to 15 % of the side, with points between, go there and back."""
    square = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)
    exact = homography(square * 200, (square + np.array(bends).reshape(4, 2)) * size)
    grid = np.stack(np.meshgrid(np.linspace(0, 200, 5), np.linspace(0, 200, 5)), -1).reshape(-1, 2)
    pixels = project(exact, grid)
    again = homography(grid, pixels)
    assert np.abs(project(again, grid) - pixels).max() < 1e-6 * size
    assert np.abs(project(inverse(again), pixels) - grid).max() < 1e-4


def test_sampling_is_linear_between_pixels_and_nan_outside():
    ramp = (np.arange(6)[:, None] * 20 + np.arange(8)[None, :] * 3).astype(np.uint8)
    points = np.array([[2.25, 3.5], [7, 5], [0, 0], [7.1, 2], [3, -0.1]])
    got = sample(ramp, points)
    assert got[:3] == pytest.approx([76.75, 121, 0])
    assert np.isnan(got[3:]).all()


def random_camera(rng):
    """Tilt to 25 degrees, any turn, dim, noisy, blurred by 0.2 to 0.7 of a swatch code's module,
    curled to 3 mm, a hand on a corner code in one photo of five."""
    side, turn = int(rng.choice([1500, 1600, 2000, 2400])), float(rng.uniform(0, 360))
    across = abs(np.sin(np.radians(turn))) > 0.7
    return drawn.Camera(
        size=(side, side * 3 // 4) if across else (side * 3 // 4, side),
        tilt=float(rng.uniform(0, 25)),
        toward=float(rng.uniform(0, 360)),
        turn=turn,
        fill=float(rng.uniform(0.75, 0.92)),
        curl=float(rng.choice([0, 0, 1, 3])),
        lens=float(rng.uniform(-0.008, 0.008)),
        dim=float(np.exp(rng.uniform(np.log(0.08), 0))),
        blur=float(rng.uniform(0.5, 1.4)) * side / 1600,
        noise=float(rng.uniform(0.003, 0.02)),
        uneven=float(rng.uniform(-0.6, 0.6)),
        quality=int(rng.integers(70, 95)),
        hide=(str(rng.choice(sl.CORNERS)),) if rng.random() < 0.2 else (),
    )


@pytest.mark.slow
def test_two_hundred_random_photos(tmp_path):
    """At least 95 in 100 sheets are found, every found place is right and no name is wrong. A
    code too blurred to read leaves its place its number; blurred by less than 0.4 of a module, 95
    in 100 are read."""
    rng = np.random.default_rng(2024)
    found, off, named = 0, [], {True: [], False: []}
    sheets = [
        drawn.draw_sheet(places, paper, codes=CODES[:places], rng=rng)
        for places, paper in [(8, "A4"), (4, "A4"), (8, "Letter"), (4, "Letter"), (1, "A4")]
    ]
    for index in range(200):
        layout, light = sheets[index % len(sheets)]
        camera = random_camera(rng)
        photo, truth = drawn.take(layout, light, camera, rng, tmp_path)
        sheet = find_sheet(photo)
        if sheet is None or sheet.refusal:
            continue
        found += 1
        off.append((camera.curl, worst(sheet, truth)))
        assert len(sheet.swatches) == layout.places and sheet.card is not None
        middle = np.array([[layout.width, layout.height]]) / 2
        module = (
            np.hypot(*(truth(middle + [1, 0]) - truth(middle))[0]) * sl.SWATCH_CODE / sl.MODULES
        )
        for name, number in sheet.numbers.items():
            if number <= len(CODES):
                assert name in (CODES[number - 1], str(number))
                named[bool(camera.blur < 0.4 * module)].append(name == CODES[number - 1])
            else:
                assert name == str(number)
    flat = np.array([mm for curl, mm in off if curl == 0])
    bent = np.array([mm for curl, mm in off if curl > 0])
    print(
        f"found {found} of 200; flat: median {np.median(flat):.2f}, 95 % "
        f"{np.quantile(flat, 0.95):.2f}, worst {flat.max():.2f} mm; curled: worst "
        f"{bent.max():.2f} mm; named {np.mean(named[True]):.3f} of {len(named[True])} sharp, "
        f"{np.mean(named[False]):.3f} of {len(named[False])} blurred"
    )
    assert found >= 190
    assert np.mean(named[True]) >= 0.95
    assert flat.max() < 0.8 and np.quantile(flat, 0.95) < 0.5 and bent.max() < 1.5


@pytest.mark.parametrize(
    "how",
    [
        {"size": (510, 680), "turn": 30, "tilt": 12, "toward": 100, "blur": 0.5},
        {"size": (675, 900), "turn": 9.7, "tilt": 13.25, "toward": 220, "blur": 1.42},
    ],
    ids=["small", "blurred"],
)
def test_a_second_look_finds_what_the_first_does_not(eight, how, tmp_path):
    photo, truth = photograph(eight, tmp_path, noise=0.01, **how)
    first = {code.text for code in read_codes(grey_picture(photo.pixels))}
    assert len([text for text in first if sl.read_corner_text(text)]) < 3
    sheet = find_sheet(photo)
    assert sheet.refusal == "" and len(sheet.found) >= 3
    assert worst(sheet, truth) < 0.8
