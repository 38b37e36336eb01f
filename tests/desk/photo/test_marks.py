"""Tables of marks carry whatever lies in a photo."""

import pytest

from record_made import SAMPLE
from swatchbath.desk.photo.in_frame import InFrame
from swatchbath.desk.photo.marks import read_marks
from swatchbath.errors import BadTable
from swatchbath.photo import Region

HEAD = "photo,name,kind,x,y,half,L,a,b\n"


def read(folder, rows, head=HEAD):
    path = folder / "marks.csv"
    path.write_text(head + rows, encoding="utf-8")
    return read_marks(path)


def test_every_kind(tmp_path):
    rows = (
        "p.jpg,grey,grey,1,2,3,49.5,0,0\np.jpg,,white,4,5,6,95,0,1\np.jpg,,black,7,8,9,20,0,0\n"
        "p.jpg,a,swatch,10,11,12,,,\np.jpg,22a,beside,13,14,15,,,\n"
        "p.jpg,1,paper,16,17,18,,,\np.jpg,2,paper,19,20,21,,,\np.jpg,far,further,22,23,24,,,\n"
        "p.jpg,,patch 1,0,0,,,,\np.jpg,,patch 6,500,0,,,,\n"
        "p.jpg,,patch 19,0,300,,,,\np.jpg,,patch 24,500,300,,,,\n"
    )
    (marks,) = read(tmp_path, rows).values()
    assert dict(marks.swatches) == {"a": Region(10, 11, 12)}
    assert dict(marks.beside) == {"22a": Region(13, 14, 15)}
    known = marks.known(InFrame(linear=True))
    assert (known.card.region, known.card.lab.tolist()) == (Region(1, 2, 3), [49.5, 0, 0])
    assert known.white.lab.tolist() == [95, 0, 1] and known.black.region == Region(7, 8, 9)
    assert [c.region.x for c in known.further] == [22] and [r.x for r in known.paper] == [16, 19]
    assert known.chart.corners.tolist() == [[0, 0], [500, 0], [500, 300], [0, 300]]
    assert known.encoding == "linear"


def test_cards_colours_may_stand_in_a_table_of_their_own(tmp_path):
    rows = "p.jpg,,card,1,2,3\np.jpg,,white,4,5,6\np.jpg,,black,7,8,9\n"
    (marks,) = read(tmp_path, rows, "photo,name,kind,x,y,half\n").values()
    assert marks.known().white is None  # no colour of its own, no three greys
    labs = {"white": (95, 0, 0), "grey": (50, 0, 0), "black": (20, 0, 0)}
    known = marks.known(card_labs=labs)
    assert known.card.lab.tolist() == [50, 0, 0] and known.black.lab.tolist() == [20, 0, 0]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("p.jpg,a,leaf,1,2,3,,,", "not one of"),
        ("p.jpg,a,swatch,1,x,3,,,", "column y: 'x' is no number"),
        ("p.jpg,a,swatch,1,2,0,,,", "above 0"),
        ("p.jpg,a,swatch,1,2,3,,,\np.jpg,a,swatch,1,2,3,,,", "place for a; keep one"),
        ("p.jpg,,beside,1,2,3,,,", "by its code or name"),
        ("p.jpg,a,swatch,1,2,3,,,\np.jpg,a,beside,1,2,3,,,", "keep one"),
        ("p.jpg,,patch 1,1,2,,,,", "not its patch 6"),
        ("p.jpg,,card,1,2,3,50,0,", "no colour"),
    ],
)
def test_what_cannot_be_is_said_with_its_row(tmp_path, rows, said):
    with pytest.raises(BadTable, match=said):
        read(tmp_path, rows + "\n")


def test_the_samples_shade_lies_beside_three_swatches():
    (marks,) = read_marks(SAMPLE / "shade.csv").values()
    assert len(marks.beside) == 3 and len(marks.swatches) == 1 and len(marks.paper) == 6
