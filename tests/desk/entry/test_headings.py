"""What headings mean, however they are put; any table of plain facts comes in as it was told."""

import csv
import io

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import swatchbath as sb
from swatchbath import desk
from swatchbath.desk.entry.headings import changed_headings, match_headings
from swatchbath.errors import BadValue


@pytest.mark.parametrize(
    ("headings", "columns"),
    [
        ("Mordant,%,Temp,Dye,%,Temp", "mordant,mordant_owf,mordant_C,dyestuff,dye_owf,"
         "temperature_C"),
        ("Yarn,Plant,WOF,Temp,Time,Notes", "fibre,dyestuff,dye_owf,temperature_C,minutes,note"),
        ("Alum % WOF,Iron %,Weld (g),Onion skins %", "mordant_owf,modifier_owf,dye_owf,dye_owf"),
        ("Fiber Wt (oz),Dye Stuff,Max dye bath temp (F)", "fibre_g,dyestuff,temperature_C"),
        ("No.,Name,Yarn", "number,name,fibre"),
        ("#,Yarn,Yarn base", "name,fibre,Yarn base"),
        ("Jar,After-dip,After-dip time", "modifier_lot,modifier,modifier_minutes"),
        ("Jar,Yarn", "name,fibre"),
        ("Price,Season,Gathered at,Where kept,Lightfastness", "price,season,provenance,place,"
         "fastness"),
        ("Swatch,Base yarn,% weld,T°,£,fresh/dried", "swatch,fibre,dye_owf,temperature_C,price,"
         "dyestuff_form"),
        ("Weather,Mood,Customer", "Weather,Mood,Customer"),
    ],
)  # fmt: skip
def test_headings_in_a_row(headings, columns):
    assert ",".join(h.column for h in match_headings(headings.split(","))) == columns


def test_the_part_of_a_plant_is_no_part_of_a_lot(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Plant,Part,Yarn\nweld,flowers,wool\n", encoding="utf-8")
    desk.take(tmp_path / "lib", path)
    with sb.Library(tmp_path / "lib") as lib:
        (swatch,) = (lib.swatch(c) for c in lib.codes())
        assert swatch.part is None and swatch.conditions["own Part"] == "flowers"


def test_what_she_says_comes_before_what_was_guessed():
    found = match_headings(["Yarn", "Base", "Heat"])
    told = changed_headings(found, ["Base=fibre", "Heat=temperature in F"], "b.csv")
    assert [(h.column, h.unit) for h in told] == [
        ("Yarn", ""), ("fibre", ""), ("temperature_C", "F"),
    ]  # fmt: skip
    with pytest.raises(BadValue, match="no column 'nonsense'"):
        changed_headings(found, ["Base=nonsense"], "b.csv")


# Column -> headings that mean it, with how a number stands below them; and its values.
FAHRENHEIT = {60.0: "140", 80.0: "176", 95.0: "203"}
WAYS = {
    "fibre": (["Yarn", "Fiber", "fibre", "Base", "Fibre type"], ["wool", "silk", "linen"]),
    "dyestuff": (["Plant", "Dye", "Dye stuff", "dyestuff", "Dyed with"], ["weld", "madder"]),
    "dye_owf": (["Dye % WOF", "WOF", "Amount of dye (%)", "Plant %"], [5.0, 40.5, 100.0]),
    "mordant": (["Mordant", "Mordant used", "Premordant"], ["alum", "none"]),
    "pH": (["pH", "Bath pH", "pH (start)"], [4.5, 6.0, 8.0]),
    "temperature_C": (["Temp (F)", "Temp", "Dye bath temp (°F)", "Temperature (°C)"],
                      list(FAHRENHEIT)),
    "minutes": (["Time (h)", "Time (min)", "Duration, min"], [30.0, 90.0, 120.0]),
    "note": (["Notes", "Remarks", "note"], ["bright", "a bit dull, washed twice"]),
    "Cat": (["Cat"], ["on the table", "7"]),
}  # fmt: skip


@st.composite
def tables(draw):
    more = draw(st.sets(st.sampled_from(sorted(set(WAYS) - {"fibre", "dyestuff"}))))
    columns = draw(st.permutations(["fibre", "dyestuff", *sorted(more)]))
    headings = {c: draw(st.sampled_from(WAYS[c][0])) for c in columns}
    if headings.get("dye_owf") == "WOF":
        # By itself it tells of what stands before it: a mordant's share, or the fibre's weight.
        columns = [c for c in columns if c != "dye_owf"]
        columns.insert(columns.index("dyestuff") + 1, "dye_owf")
    rows = draw(
        st.lists(
            st.fixed_dictionaries({c: st.sampled_from(WAYS[c][1]) for c in columns}),
            min_size=2,
            max_size=5,
        )
    )
    return columns, headings, rows, draw(st.sampled_from(",;\t")), draw(st.integers(0, 2))


def cell(name, value, heading, separator):
    if name == "temperature_C" and "(" not in heading:
        return f"{value:g} C" if value < 90 else f"{FAHRENHEIT[value]} F"
    if "F)" in heading:
        return FAHRENHEIT[value]
    if "(h)" in heading:
        value = value / 60
    text = value if isinstance(value, str) else f"{value:g}"
    return text.replace(".", ",") if separator == ";" and not isinstance(value, str) else text


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(tables())
def test_any_table_of_plain_facts_comes_in_as_it_was_told(tmp_path_factory, table):
    columns, headings, rows, separator, titles = table
    out = io.StringIO()
    write = csv.writer(out, delimiter=separator)
    for i in range(titles):
        write.writerow([f"My book of colours {i}"])
    write.writerow([headings[c] for c in columns])
    write.writerows([[cell(c, r[c], headings[c], separator) for c in columns] for r in rows])
    folder = tmp_path_factory.mktemp("book")
    (folder / "b.csv").write_text(out.getvalue(), encoding="utf-8")
    done = desk.take(folder / "lib", folder / "b.csv")
    assert not done.left_out
    with sb.Library(folder / "lib") as lib:
        for row, code in zip(rows, lib.codes(), strict=True):
            told = lib.swatch(code).conditions
            wanted = {n: v if isinstance(v, str) else pytest.approx(v, abs=0.05)
                      for n, v in row.items()}  # fmt: skip
            assert told == wanted
