"""The printed photo sheet: what is in the PDF is where the layout says, and reads back."""

import re
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pdf_page import NUMBER, POINT, filled, lines, media, page, read_back
from swatchbath.errors import BadValue
from swatchbath.library import codes as library
from swatchbath.paper import qr
from swatchbath.paper.photo_sheet import sheet_pdf
from swatchbath.photo.sheet.layout import (
    CORNERS,
    MODULES,
    PAPERS,
    PLACES,
    corner_text,
    sheet_layout,
    swatch_text,
)

CODES = [library.code(n) for n in (0, 1, 2, 77, 5000, 40000, 90001, 130320)]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("places", PLACES)
def test_every_code_is_in_the_file_at_its_place(places, paper):
    layout = sheet_layout(places, paper)
    pdf = sheet_pdf(places, paper=paper, codes=CODES[:places])
    assert media(pdf) == pytest.approx((layout.width, layout.height), abs=0.01)
    rectangles = filled(pdf)
    found = read_back(rectangles, (layout.width, layout.height))
    wanted = {corner_text(places, paper, c): layout.corners[c] for c in CORNERS}
    wanted |= {
        swatch_text(code): place.code
        for code, place in zip(CODES[:places], layout.swatches, strict=True)
    }
    assert set(found) == set(wanted)
    for text, box in wanted.items():
        assert np.abs(found[text] - box.centre).max() < 0.3
        mine = rectangles[
            (rectangles[:, :2] > [box.x - 1, box.y - 1]).all(axis=1)
            & (rectangles[:, 2:] < [box.x + box.width + 1, box.y + box.height + 1]).all(axis=1)
        ]
        outer = [*mine[:, :2].min(axis=0), *mine[:, 2:].max(axis=0)]
        expected = [box.x, box.y, box.x + box.width, box.y + box.height]
        assert outer == pytest.approx(expected, abs=0.05)


@pytest.mark.parametrize("paper", PAPERS)
def test_line_is_100_mm_and_everything_keeps_from_the_edge(paper):
    pdf = sheet_pdf(4, paper=paper)
    width, height = media(pdf)
    drawn = lines(pdf)
    lengths = np.hypot(drawn[:, 2] - drawn[:, 0], drawn[:, 3] - drawn[:, 1])
    assert np.isclose(lengths, 100, atol=0.01).sum() == 1
    ends = np.concatenate([drawn, filled(pdf)]).reshape(-1, 2)
    starts = re.findall(rf"BT {NUMBER} {NUMBER} Td", page(pdf))
    words = np.array(starts, float) * POINT
    words[:, 1] = height - words[:, 1]
    for points in (ends, words):
        assert points.min() >= 10
        assert (points <= [width - 10, height - 10]).all()


def test_black_only():
    orders = page(sheet_pdf(8, codes=CODES))
    assert not re.findall(r"\b(rg|RG|k|K|sc|SC|scn|SCN|Do)\b", orders)
    assert {float(v) for v in re.findall(r"([\d.]+) [gG]\b", orders)} <= {0.0}


def test_archive_file_without_dates_the_same_each_time():
    first = sheet_pdf(8, codes=CODES)
    time.sleep(1.1)  # a date in it would be another one
    again = sheet_pdf(8, codes=CODES)
    assert first == again
    assert sheet_pdf(8, codes=CODES[::-1]) != first
    for wanted in (
        rb"/PrintScaling /None",
        rb"/OutputIntents",
        rb"/GTS_PDFA1",
        rb"<pdfaid:part>2</pdfaid:part>",
        rb"<pdfaid:conformance>B</pdfaid:conformance>",
        rb"/FontFile2",
    ):
        assert re.search(wanted, first), wanted
    assert not re.search(rb"CreationDate|ModDate|CreateDate|ModifyDate", first)
    assert len(re.findall(rb"/Type /Page\b", first)) == 1


def test_fewer_codes_leave_lines_to_write_on():
    layout = sheet_layout(8, "A4")
    pdf = sheet_pdf(8, codes=CODES[:3])
    found = read_back(filled(pdf), (layout.width, layout.height))
    assert len(found) == 4 + 3
    drawn = lines(pdf)
    for place in layout.swatches:
        box = place.code
        under = (drawn[:, 0] > box.x) & (drawn[:, 0] < box.x + box.width)
        under &= (drawn[:, 1] > box.y) & (drawn[:, 1] < box.y + box.height)
        assert under.sum() == (place.number > 3)


@pytest.mark.parametrize(
    ("codes", "says"),
    [
        (["01a"], "'01a' cannot be printed"),
        (["3467A", "3467A"], "given twice"),
        (["3467A"] * 5, "5 swatch codes"),
        (["ABCDEFGH"], "cannot be printed"),
        ([""], "cannot be printed"),
        ("3467A", "as a list"),
    ],
)
def test_codes_that_cannot_be_are_refused(codes, says):
    with pytest.raises(BadValue, match=says):
        sheet_pdf(4, codes=codes)


def test_unknown_paper_or_places_are_refused():
    with pytest.raises(BadValue, match="A4 or Letter"):
        sheet_pdf(4, paper="A3")
    with pytest.raises(BadValue, match="1, 4 or 8"):
        sheet_pdf(3)


def test_a_code_that_does_not_read_back_is_not_printed(monkeypatch):
    real = qr.read_back
    monkeypatch.setattr(qr, "read_back", lambda dark: None if dark[12].sum() % 2 else real(dark))
    with pytest.raises(BadValue, match="does not read back"):
        sheet_pdf(8, codes=CODES)


def test_a_damaged_code_is_noticed():
    dark = qr.modules("SW-3467A")
    assert dark.shape == (MODULES, MODULES)
    assert qr.read_back(dark) == "SW-3467A"
    broken = dark.copy()
    broken[8:, :9] = ~broken[8:, :9]
    assert qr.read_back(broken) != "SW-3467A"


@given(st.integers(0, library.MOST - 1))
def test_every_code_of_the_library_can_be_printed(number):
    text = swatch_text(library.code(number))
    assert qr.read_back(qr.modules(text)) == text
