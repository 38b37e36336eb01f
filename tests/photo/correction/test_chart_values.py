"""A chart's own values from CSV and CGATS.17 text."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.colorimetry import (
    WHITE_D50,
    WHITE_D65,
    bradford,
    delta_e2000,
    lab_to_xyz,
    xyz_to_lab,
)
from swatchbath.errors import BadTable, BadValue, NotFound
from swatchbath.photo.correction.card import CHART_D50, CHART_LAB, Chart
from swatchbath.photo.correction.chart_values import read_chart_lab

LAB = np.round(CHART_D50, 3)
BY_ROW = [f"{row}{column}" for row in "ABCD" for column in range(1, 7)]
BY_COLUMN = [f"{column}{row}" for row in range(1, 5) for column in "ABCDEF"]


def save(tmp_path, text, name="chart.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def as_csv(names=range(1, 25), lab=LAB, heading="patch,L,a,b", tail=""):
    rows = [f"{n},{v[0]},{v[1]},{v[2]}{tail}" for n, v in zip(names, lab, strict=True)]
    return "\n".join([heading, *rows]) + "\n"


def as_cgats(names=BY_ROW, values=LAB, fields="SAMPLE_ID SAMPLE_NAME LAB_L LAB_A LAB_B", head=""):
    rows = [
        f'{i} "{n}" {v[0]} {v[1]} {v[2]}'
        for i, (n, v) in enumerate(zip(names, values, strict=True), start=1)
    ]
    return "\n".join(
        [
            "CGATS.17",
            'ORIGINATOR "made for a test"',
            "# a comment with BEGIN_DATA in it",
            head,
            f"NUMBER_OF_FIELDS {len(fields.split())}",
            "BEGIN_DATA_FORMAT",
            fields,
            "END_DATA_FORMAT",
            f"NUMBER_OF_SETS {len(rows)}",
            "BEGIN_DATA",
            *rows,
            "END_DATA",
            "",
        ]
    )


def test_a_csv_of_the_published_values_is_the_published_chart(tmp_path):
    read = read_chart_lab(save(tmp_path, as_csv()))
    assert read == pytest.approx(CHART_LAB, abs=1e-6)
    assert Chart([[0, 0], [100, 0], [100, 60], [0, 60]], lab=read).card_patch == 22


@pytest.mark.parametrize("names", [BY_ROW, BY_COLUMN, [f"{n:02d}" for n in range(1, 25)]])
@given(seed=st.integers(0, 2**32 - 1))
def test_patches_go_by_name_in_any_order(tmp_path_factory, names, seed):
    order = np.random.default_rng(seed).permutation(24)
    text = as_csv([names[i] for i in order], LAB[order], "Patch,L*,a*,b*")
    path = save(tmp_path_factory.mktemp("c"), text)
    assert read_chart_lab(path) == pytest.approx(CHART_LAB, abs=1e-6)


def test_semicolons_with_decimal_commas_and_a_byte_order_mark(tmp_path):
    text = as_csv().replace(",", ";").replace(".", ",")
    path = tmp_path / "chart.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read_chart_lab(path) == pytest.approx(CHART_LAB, abs=1e-6)


@pytest.mark.parametrize("names", [BY_ROW, BY_COLUMN])
def test_cgats_lab(tmp_path, names):
    fields = "SAMPLE_LOC SAMPLE_NAME LAB_L LAB_A LAB_B"
    path = save(tmp_path, as_cgats(names, fields=fields), "chart.txt")
    assert read_chart_lab(path) == pytest.approx(CHART_LAB, abs=1e-6)


def test_cgats_goes_by_its_ids_where_the_names_are_words(tmp_path):
    path = save(tmp_path, as_cgats([f"patch no {n}" for n in range(24)]), "chart.txt")
    assert read_chart_lab(path) == pytest.approx(CHART_LAB, abs=1e-6)


@pytest.mark.parametrize("scale", [1, 100])
def test_cgats_xyz_of_either_scale(tmp_path, scale):
    fields = "SAMPLE_ID SAMPLE_NAME XYZ_X XYZ_Y XYZ_Z"
    text = as_cgats(values=scale * lab_to_xyz(LAB, WHITE_D50), fields=fields)
    assert read_chart_lab(save(tmp_path, text, "c.txt")) == pytest.approx(CHART_LAB, abs=1e-4)


def test_a_stated_light_is_heeded(tmp_path):
    for text in (
        as_csv(heading="patch,L,a,b,illuminant,observer", tail=",D65,2"),
        as_cgats(head='WEIGHTING_FUNCTION "ILLUMINANT, D65"\nWEIGHTING_FUNCTION "OBSERVER, 2 deg"'),
        as_cgats(head='ILLUMINANT "CIE D65"\nOBSERVER "CIE 1931"'),
        as_cgats(head='MEASUREMENT_SOURCE "Illumination=D65 ObserverAngle=2 WhiteBase=Abs"'),
    ):
        assert read_chart_lab(save(tmp_path, text)) == pytest.approx(LAB, abs=1e-6)
    assert read_chart_lab(save(tmp_path, as_csv()), light="D65") == pytest.approx(LAB, abs=1e-6)


def test_a_ten_degree_chart_is_converted_and_not_taken_as_it_is(tmp_path):
    path = save(tmp_path, as_csv())
    read = read_chart_lab(path, light="D50", observer="10")
    moved = xyz_to_lab(lab_to_xyz(LAB, WHITE_D50) @ bradford(WHITE_D50, WHITE_D65).T)
    assert 0.5 < np.median(delta_e2000(read, moved)) < 4


def test_a_light_that_the_file_contradicts(tmp_path):
    path = save(tmp_path, as_csv(heading="patch,L,a,b,light", tail=",D65"))
    with pytest.raises(BadTable, match="says its light is D65, but D50") as caught:
        read_chart_lab(path, light="D50")
    assert caught.value.column == "light"
    with pytest.raises(BadValue, match="no light 'D99'"):
        read_chart_lab(path, light="D99")


def swapped(text, old, new):
    assert old in text
    return text.replace(old, new, 1)


LINE_4 = "3,49.927,-4.889,-21.894"


@pytest.mark.parametrize(
    ("text", "says", "row", "column"),
    [
        (swapped(as_csv(), "49.927", "dark"), "Line 4 .* column L: 'dark' is not", 4, "L"),
        (swapped(as_csv(), "-4.889", "nan"), "Line 4 .* column a: 'nan' is not", 4, "a"),
        (swapped(as_csv(), "-4.889", "-488.9"), "Line 4 .* column a: .*no patch has", 4, "a"),
        (swapped(as_csv(), "-21.894", "-21.894,1"), "Line 4 .* 5 cells .* has 4", 4, None),
        (swapped(as_csv(), LINE_4 + "\n", ""), "23 of the chart's 24 .*patch 3 is", None, None),
        (swapped(as_csv(), LINE_4, "2" + LINE_4[1:]), "Line 4 .* patch 2 again", 4, None),
        (swapped(as_csv(), LINE_4, "31" + LINE_4[1:]), "Line 4 .*'31' is no patch", 4, "patch"),
        (as_csv(heading="patch,R,G,B"), "no columns L, a, b", None, None),
        (as_csv(heading="colour,L,a,b"), "no column that numbers", None, None),
        (as_csv(lab=LAB[::-1]), "Patch 19 .* not grey", None, None),
        (as_csv(lab=np.vstack([LAB[:18], LAB[:17:-1]])), "not darker", None, None),
        (swapped(as_csv(), "3,49", '3,"49'), "Line 4 .* 2 cells", 4, None),
        (swapped(as_csv(), LINE_4, "3," + "4" * 200_000), "Line 4 .*field larger", 4, None),
        ("# nothing\n", "only comments", None, None),
        ("", "is empty", None, None),
        (
            as_csv(heading="patch,L,a,b,light", tail=",D65").replace("D65", "D50", 1),
            "says D50 and D65", None, "light",
        ),
        (
            swapped(as_cgats(), "NUMBER_OF_SETS 24", "NUMBER_OF_SETS 140"),
            "Line 9 .* 140, but there are 24", 9, "NUMBER_OF_SETS",
        ),
        (
            swapped(as_cgats(), "NUMBER_OF_FIELDS 5", "NUMBER_OF_FIELDS five"),
            "Line 5 .*whole number", 5, "NUMBER_OF_FIELDS",
        ),
        (swapped(as_cgats(), "END_DATA\n", ""), "no END_DATA", None, None),
        (swapped(as_cgats(), "49.927", "x"), "Line 13 .* column LAB_L: 'x' is not", 13, "LAB_L"),
        (swapped(as_cgats(), "49.927", ""), "Line 13 .* 4 cells", 13, None),
        (as_cgats(head='WEIGHTING_FUNCTION "ILLUMINANT, C"'), "light 'C'", None, "light"),
    ],
)  # fmt: skip
def test_a_bad_file_is_one_plain_sentence_with_line_and_field(tmp_path, text, says, row, column):
    with pytest.raises(BadTable, match=says) as caught:
        read_chart_lab(save(tmp_path, text))
    assert (caught.value.row, caught.value.column) == (row, column)
    assert "\n" not in str(caught.value) and str(caught.value).endswith(".")


def test_what_is_no_text_or_not_there(tmp_path):
    with pytest.raises(NotFound, match="cannot be read"):
        read_chart_lab(tmp_path / "none.csv")
    path = tmp_path / "sheet.xlsx"
    path.write_bytes(b"PK\x03\x04\x00\x00")
    with pytest.raises(BadTable, match="not text"):
        read_chart_lab(path)


@given(st.text(max_size=200))
def test_no_text_whatever_breaks_it(tmp_path_factory, text):
    path = tmp_path_factory.mktemp("t") / "any.txt"
    path.write_text(text, encoding="utf-8", errors="replace")
    with pytest.raises(BadTable):
        read_chart_lab(path)
    path.write_text("BEGIN_DATA_FORMAT\n" + text, encoding="utf-8", errors="replace")
    with pytest.raises(BadTable):
        read_chart_lab(path)
