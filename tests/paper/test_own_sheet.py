"""The printed sheet with her own yarn: codes at their places, words that fit, black only."""

import re

import numpy as np
import pytest

from pdf_page import NUMBER, POINT, filled, lines, media, page, read_back
from swatchbath.errors import BadValue
from swatchbath.library import codes as library
from swatchbath.paper.own_sheet import SheetPiece, own_sheet_pdf
from swatchbath.paper.photo_sheet import sheet_pdf
from swatchbath.photo.sheet.layout import OWN_SHEET, PAPERS, corner_text, sheet_layout, swatch_text

LONG = "a very long name of a swatch, as nobody gives one but a machine that tests"
PIECES = [
    SheetPiece(library.code(71 * n), (f"22{n}", "weld, then indigo", "superwash wool, deep green"))
    for n in range(6)
]


def printed(paper="A4", pieces=PIECES):
    return own_sheet_pdf(pieces, paper=paper, library="Wool house", date="25 Nov 2026")


@pytest.mark.parametrize("paper", PAPERS)
def test_six_codes_stand_at_their_places_and_three_lines_to_write_on(paper):
    layout, pdf = sheet_layout(OWN_SHEET, paper), printed(paper)
    found = read_back(filled(pdf), (layout.width, layout.height))
    wanted = {corner_text(OWN_SHEET, paper, c): box for c, box in layout.corners.items()}
    wanted |= {swatch_text(p.code): s.code for p, s in zip(PIECES, layout.swatches, strict=False)}
    assert set(found) == set(wanted)
    for text, box in wanted.items():
        assert np.abs(found[text] - box.centre).max() < 0.3
    drawn = lines(pdf)
    for place in layout.swatches:
        box = place.code
        under = (drawn[:, 0] > box.x) & (drawn[:, 0] < box.x + box.width)
        under &= (drawn[:, 1] > box.y) & (drawn[:, 1] < box.y + box.height)
        assert under.sum() == (place.number > 6)


@pytest.mark.parametrize("paper", PAPERS)
def test_long_words_are_cut_and_stay_off_the_edge_and_the_codes(paper):
    pieces = [SheetPiece(p.code, (LONG, LONG, LONG)) for p in PIECES]
    layout, pdf = sheet_layout(OWN_SHEET, paper), printed(paper, pieces)
    width, height = media(pdf)
    starts = np.array(re.findall(rf"BT {NUMBER} {NUMBER} Td", page(pdf)), float) * POINT
    starts[:, 1] = height - starts[:, 1]
    assert starts.min() >= 10 and (starts <= [width - 10, height - 10]).all()
    for place in layout.swatches[:6]:
        foot = place.code.y + place.code.height
        mine = starts[np.isclose(starts[:, 0], place.frame.x, atol=0.05) & (starts[:, 1] > foot)]
        mine = mine[mine[:, 1] < place.cell.y + place.cell.height]
        # Three lines, each a quiet zone (4 modules) from the code at the least, 2.2 mm tall.
        assert len(mine) == 3 and mine[:, 1].min() - 2.2 > foot + 2


def test_black_only_the_same_each_time_and_of_one_library():
    pdf = printed()
    assert {float(v) for v in re.findall(r"([\d.]+) [gG]\b", page(pdf))} <= {0.0}
    assert pdf == printed() != printed(pieces=PIECES[::-1])
    assert pdf != own_sheet_pdf(PIECES, library="Another", date="25 Nov 2026")
    assert b"<pdfaid:part>2</pdfaid:part>" in pdf
    # Letters that the print's own font does not have stand as a question mark.
    strange = own_sheet_pdf(PIECES, library="\u6f22", date="25 Nov 2026")
    assert strange == own_sheet_pdf(PIECES, library="?", date="25 Nov 2026")


def test_six_different_pieces_are_needed():
    for pieces in (PIECES[:5], [*PIECES, PIECES[0]], [*PIECES[:5], PIECES[0]]):
        with pytest.raises(BadValue, match="carries 6 swatches"):
            printed(pieces=pieces)
    with pytest.raises(BadValue, match="1, 4 or 8"):
        sheet_pdf(OWN_SHEET)
    with pytest.raises(BadValue, match="A4 or Letter"):
        printed("A3")
