"""A dyer's own spreadsheet taken in."""

import pytest

import swatchbath as sb
from command import run
from record_made import written
from swatchbath import desk
from swatchbath.desk.entry.headings import match_headings
from swatchbath.errors import BadTable, BadValue, NotFound
from swatchbath.library import read_table
from swatchbath.library import tables as exchange

TABLE = (
    "Sample no.;Fiber;Weight (oz);Plant;Dye % WOF;Mordant;Mordant %;Temp (F);Time (h);pH;"
    "Afterbath;Date;Colour notes\n"
    "1a;Wool;3,5;weld;80;Alum;12;190;1,5;5,5;none;2026-03-14;=bright\n"
    "1b;Silk;3,5;weld;80;Alum;12;88 C;90 min;5,5;iron;2026-03-14;\n"
    "1c;Wol;3,5;weld;80;Alum;12;190;1;6;;2026-03-14;\n"
    "1d;Wool;;weld;40 g;Alum;12;190;1;19;;2026-03-14;\n"
    "1a;Wool;3,5;weld;60;Alum;12;190;1;6;;2026-03-14;\n"
    "1e;Wool;;;;;;;;;;;\n"
)


def test_the_trades_words_units_semicolons_and_decimal_commas(tmp_path):
    done = desk.take(tmp_path, written(tmp_path, TABLE))
    assert done.taken == 2 and list(done.codes) == [2, 3]
    with sb.Library(tmp_path) as lib:
        one = lib.swatch("1a")
        assert one.conditions == {
            "fibre": "Wool",
            "fibre_g": 99.2233,
            "dyestuff": "weld",
            "dye_owf": 80.0,
            "mordant": "Alum",
            "mordant_owf": 12.0,
            "temperature_C": 87.8,
            "minutes": 90.0,
            "pH": 5.5,
            "modifier": "none",
            "Colour notes": "=bright",
        }
        assert one.session == "2026-03-14"
        assert one.typed["temperature_C"] == "190 F" and one.typed["pH"] == "5,5"
        assert lib.swatch("1b").conditions["temperature_C"] == 88.0
    reasons = dict(done.left_out)
    assert sorted(reasons) == [4, 5, 6, 7]
    assert "'Wol' is not a fibre" in reasons[4]
    assert "19 is outside" in reasons[5]
    assert "differ in" in reasons[6] or "already" in reasons[6]
    assert "dyestuff" in reasons[7]


def test_a_dry_run_keeps_nothing_and_shows_how_it_was_read(tmp_path):
    table = written(tmp_path, TABLE)
    said = run("take", table, "--dry-run", "--library", tmp_path / "lib").stdout
    assert "Temp (F): temperature of the dye bath, in F" in said
    assert "Colour notes: kept, not used" in said
    assert "2 rows would be taken" in said and "4 left out" in said
    assert "Mordant 99.2233 g of Wool with 12 % Alum" in " ".join(said.split())
    assert "87.8 °C" in said and "Colour notes: =bright" in said
    assert not (tmp_path / "lib").exists()


def test_rows_on_record_are_left_out_and_given_codes_are_filled_in(tmp_path):
    (code,) = desk.codes(tmp_path, 1)["codes"]
    table = written(tmp_path, f"code,name,fibre,dyestuff\n{code},k,wool,weld\n,m,wool,weld\n")
    assert desk.take(tmp_path, table).taken == 2
    again = desk.take(tmp_path, table)
    assert again.taken == 0 and len(again.left_out) == 2
    with sb.Library(tmp_path) as lib:
        assert lib.swatch(code).conditions == {"fibre": "wool", "dyestuff": "weld"}
        assert lib.swatch(code).name == "k" and len(lib) == 2


def test_parts_of_a_lot_and_columns_of_her_own_are_kept(tmp_path):
    text = (
        "name,lot,part,fibre,dyestuff,modifier,photo,shelf\n"
        "a,7,a,wool,weld,none,p.jpg,01\nb,7,b,wool,weld,iron,,NA\n"
    )
    desk.take(tmp_path, written(tmp_path, text))
    with sb.Library(tmp_path) as lib:
        a, b = lib.swatch("a"), lib.swatch("b")
        assert (a.lot, a.part, b.part) == ("7", "a", "b")
        assert a.conditions["shelf"] == "01" and a.conditions["photo"] == "p.jpg"
        assert b.conditions["shelf"] == "NA"


@pytest.mark.parametrize(
    ("text", "error", "says"),
    [
        ("Plant,pH\nweld,6\n", BadTable, "means the fibre"),
        ("Yarn,pH\nwool,6\n", BadTable, "means the dyestuff"),
    ],
)
def test_a_table_that_cannot_be_matched_is_refused(text, error, says, tmp_path):
    with pytest.raises(error, match=says):
        desk.take(tmp_path / "lib", written(tmp_path, text))
    assert not (tmp_path / "lib").exists()


@pytest.mark.parametrize(
    ("heading", "column", "unit"),
    [
        ("Temperature °C", "temperature_C", "C"),
        ("After-bath %", "modifier_owf", "%"),
        ("Mordant", "mordant", ""),
        ("Time in min", "minutes", "min"),
        ("Time of day", "Time of day", ""),
        ("Plant 2", "dyestuff_2", ""),
        ("liquor ratio", "liquor_ratio", ""),
        ("pot", "vessel", ""),
        ("Fibre weight (g)", "fibre_g", "g"),
        ("pH", "pH", ""),
        ("vat age", "vat_days", ""),
    ],
)
def test_headings(heading, column, unit):
    (found,) = match_headings([heading])
    assert (found.column, found.unit) == (column, unit)


def test_a_folder_that_is_no_export_is_refused(tmp_path):
    with pytest.raises(sb.NotFound, match="none that export wrote"):
        desk.take(tmp_path / "lib", tmp_path)
    assert issubclass(BadValue, sb.SwatchbathError)


def test_grams_of_dyestuff_are_of_the_fibres_weight_and_never_percent(tmp_path):
    """50 g of weld on 200 g of wool are 25 %; on a weight that is not told they are no percent."""
    table = "name,fibre,dyestuff,Dye (g),Weight (g)\na,wool,weld,50,200\nb,wool,weld,50,\n"
    desk.take(tmp_path, written(tmp_path, table))
    with sb.Library(tmp_path) as lib:
        assert lib.swatch("a").conditions["dye_owf"] == 25
        b = lib.swatch("b")
        assert "dye_owf" not in b.conditions and b.typed["dye_owf"] == "50 g"


def test_only_a_file_of_a_tables_size_is_read(tmp_path, monkeypatch):
    with pytest.raises(NotFound, match="no file"):
        read_table("/dev/zero")
    monkeypatch.setattr(exchange, "_MOST_BYTES", 10)
    with pytest.raises(BadTable, match="larger than"):
        read_table(written(tmp_path, "name,fibre\na,wool\n"))


def test_a_row_with_too_many_cells_is_left_out_and_the_others_are_taken(tmp_path):
    table = "name,fibre,dyestuff\na,wool,weld\nb,wool,weld,x,y\nc,silk,weld\n"
    done = desk.take(tmp_path, written(tmp_path, table))
    assert done.taken == 2 and done.left_out[0][0] == 3
    assert "5 cells" in done.left_out[0][1]
    with pytest.raises(BadTable, match="1 cell where"):
        desk.take(tmp_path / "new", written(tmp_path, 'name,fibre,dyestuff\n"a,wool,weld\n'))


def test_a_cell_of_words_is_read_whole_or_its_row_is_left_out(tmp_path):
    rows = (
        "Name;Fibre;Mordant;Dyestuff;WOF %;How long;After\n"
        "1;wool;tannin: gallnut 8 %;madder;50;1 h;iron 2 %, 10 min\n"
        "2;wool;alum handful;madder;50;1 h;\n"
        "3;wool;alum 12 %;madder + weld;50;1 h;\n"
        "4;wool;dye: weld 20 %;madder;50;1 h;\n"
    )
    done = desk.take(tmp_path, written(tmp_path, rows))
    assert list(done.codes) == [2]
    with sb.Library(tmp_path) as lib:
        bath = lib.swatch("1").conditions
    assert (bath["tannin"], bath["tannin_owf"], bath["minutes"]) == ("gallnut", 8.0, 60.0)
    assert (bath["modifier"], bath["modifier_owf"], bath["modifier_minutes"]) == ("iron", 2.0, 10.0)
    reasons = dict(done.left_out)
    assert "cannot be weighed" in reasons[3] and "each with its own amount" in reasons[4]
    assert "another treatment" in reasons[5]
