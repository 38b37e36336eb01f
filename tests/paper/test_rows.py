"""Patches in a row and on a line: in order, escaped, and told where a screen shows them duller."""

import re

from swatchbath.paper import Part, report
from swatchbath.paper.rows import Hung, hung_line, touching_row

GOLD, VIVID = [62.0, 12.0, 48.0], [60.0, 0.0, 120.0]


def test_patches_touch_in_their_order_with_nothing_on_them():
    html = touching_row([(GOLD, "a <b>"), (VIVID, "c")])
    assert html.index("a &lt;b&gt;") < html.index(">c<")
    assert re.findall(r'class="patch"[^>]*>(.*?)</div>', html) == [
        "",
        '<span class="notch"></span>',
    ]
    assert html.count("duller here than in life") == 1


def test_the_piece_hangs_first_and_what_drifts_hangs_low():
    lots = [Hung(GOLD, b"jpeg", "12"), Hung(GOLD, None, "13", ["clearly darker"], low=True)]
    html = hung_line(Hung(GOLD, None, "gold", ["kept piece"]), lots)
    figures = re.findall(r'<figure class="(\w*)">(.*?)</figure>', html)
    assert [kind for kind, _ in figures] == ["piece", "", "low"]
    assert "clearly darker" in figures[2][1] and "data:image/jpeg;base64," in figures[1][1]


def test_the_page_has_no_hue_but_what_was_dyed_and_keeps_figures_one_step_away():
    part = Part("x", drawn=[hung_line(Hung(GOLD, None, "g"), [])], figures=[("a", "b <c>")])
    page = report("x", [], [part])
    greys = {h for h in re.findall(r"#[0-9a-f]{6}", page) if h[1:3] == h[3:5] == h[5:7]}
    hues = set(re.findall(r"#[0-9a-f]{6}", page)) - greys
    assert len(hues) == 1 and greys
    details = re.search(r"<details>(.*?)</details>", page)[1]
    assert "b &lt;c&gt;" in details
    assert not re.search(r"src=\"http|href=", page)
