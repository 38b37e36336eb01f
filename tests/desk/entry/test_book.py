"""Tables as they lie there: where the headings are, and files that are none."""

import io
import random
import zipfile

import pytest

import swatchbath as sb
from books_made import BOOKS, open_document, workbook
from swatchbath import desk
from swatchbath.desk.entry.book import read_book
from swatchbath.desk.entry.headings import match_headings
from swatchbath.errors import BadTable, SwatchbathError
from swatchbath.library import read_rows


@pytest.mark.parametrize("mark", ['"', "״", "do.", "same", "〃", "''", "Ditto", '- " -', "idem"])
def test_a_ditto_mark_is_the_cell_above(mark, tmp_path):
    path = tmp_path / "b.xlsx"
    workbook([["Yarn", "Plant", "Note"], ["wool", "weld", "soft"], [mark, "madder", mark]])(path)
    desk.take(tmp_path / "lib", path)
    with sb.Library(tmp_path / "lib") as lib:
        told = lib.swatch(lib.codes()[1]).conditions
    assert told == {"fibre": "wool", "dyestuff": "madder", "note": "soft"}


def test_a_ditto_mark_with_nothing_above_is_asked_about(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Yarn,Plant\ndo.,weld\nwool,weld\n", encoding="utf-8")
    done = desk.take(tmp_path / "lib", path)
    assert list(done.codes) == [3] and "no row is above" in done.left_out[0][1]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(encoding, separator, tmp_path):
    rows = [["Name", "Yarn", "Plant", "Season"], ["Dürr", "wool", "weld", "März"]]
    path = tmp_path / "b.csv"
    path.write_bytes("\r\n".join(separator.join(r) for r in rows).encode(encoding))
    assert read_rows(path)[-1] == rows[1]


def test_titles_one_or_two_rows_of_headings_and_remarks_are_told_apart(tmp_path):
    path = tmp_path / "b.xlsx"
    book = next(b for b in BOOKS if b.file == "groups.xlsx")
    book.write(path)
    read = read_book(path)
    assert read.alone == ((1, "Overdyes, third year"),)
    assert read.groups[3:6] == ("Mordant",) * 3 and read.headings[3:6] == ("kind", "%", "°C")
    assert read.rows[0][0] == 4


def test_a_plain_table_of_the_columns_own_names_is_read_as_it_stands(tmp_path):
    names = ["name", "fibre", "dyestuff", "dye_owf", "mordant", "temperature_C", "vat_dips_2"]
    assert [h.column for h in match_headings(names)] == names


def test_additions_are_told_of_their_own_bath(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text(
        "Tag,Yarn,Alum %,CoT %,Weld %,Assistant\na,wool,12,6,80,chalk 2 %\nb,wool,12,,80,chalk\n"
        "c,wool,12,0,80,none\nd,wool,12,6,80,\n",
        encoding="utf-8",
    )
    desk.take(tmp_path / "lib", path)
    names = ("mordant_assist", "mordant_assist_owf", "assist", "assist_owf")
    with sb.Library(tmp_path / "lib") as lib:
        told = {n: tuple(lib.swatch(n).conditions.get(c) for c in names) for n in "abcd"}
    assert told == {
        "a": ("cream of tartar", 6, "chalk", 2),
        "b": (None, None, "chalk", None),
        "c": ("none", None, "none", None),
        "d": ("cream of tartar", 6, None, None),
    }


def test_one_thing_after_another_in_a_cell(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text(
        "Tag,Yarn,Mordant,Dyed with,After-bath\n"
        "a,wool,alum 12% + CoT 6%,weld 80% then madder 10 %,iron 2% then ash lye\n"
        "b,linen,AA 5%,weld 80%,\n",
        encoding="utf-8",
    )
    assert not desk.take(tmp_path / "lib", path).left_out
    with sb.Library(tmp_path / "lib") as lib:
        a, b = lib.swatch("a"), lib.swatch("b")
    assert [s.kind for s in a.steps] == ["mordant", "dye", "dye", "after-bath", "after-bath"]
    told = a.conditions
    assert (told["mordant_assist"], told["mordant_assist_owf"]) == ("cream of tartar", 6)
    assert (told["dyestuff_2"], told["dye_2_how"], told["dye_owf_2"]) == ("madder", "over", 10)
    assert (told["modifier"], told["modifier_2"]) == ("ash lye", "iron")
    assert (b.conditions["mordant"], b.conditions["mordant_owf"]) == ("aluminium acetate", 5)


def mutated(data, rng):
    out = bytearray(data)
    for _ in range(rng.randrange(1, 12)):
        kind, at = rng.randrange(3), rng.randrange(len(out))
        if kind == 0:
            out[at] = rng.randrange(256)
        elif kind == 1:
            del out[at : at + rng.randrange(1, 40)]
        else:
            out[at:at] = out[at : at + rng.randrange(1, 60)]
        if not out:
            out = bytearray(b"x")
    return bytes(out)


@pytest.mark.parametrize("times", [8, pytest.param(100, marks=pytest.mark.slow)])
@pytest.mark.parametrize("book", BOOKS, ids=lambda b: b.file)
def test_a_spoiled_table_ends_in_a_sentence_or_in_rows(book, times, tmp_path):
    path = tmp_path / book.file
    book.write(path)
    rng = random.Random(7)
    whole = path.read_bytes()
    for _ in range(times):
        path.write_bytes(mutated(whole, rng))
        try:
            desk.take(tmp_path / "lib", path, dry_run=True)
        except SwatchbathError as error:
            assert str(error).endswith((".", "...", ")"))


def test_an_open_document_of_a_far_cell_or_of_endless_rows_is_refused(tmp_path):
    path = tmp_path / "b.ods"
    open_document([["Yarn", "Plant"], ["wool", "weld"]])(path)
    with zipfile.ZipFile(path) as archive:
        content = archive.read("content.xml").decode()
    far = '<table:table-cell table:number-columns-repeated="99999999" office:value-type="string">'
    cell = '<table:table-cell office:value-type="string">'
    endless = '<table:table-row table:number-rows-repeated="99999999">'
    spoiled = {
        "far": content.replace(cell, far, 1),
        "endless": content.replace("<table:table-row>", endless, 1),
        "unfolding": content.replace("<office:d", '<!DOCTYPE x [<!ENTITY a "b">]><office:d', 1),
    }  # fmt: skip
    for text in spoiled.values():
        assert text != content
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("content.xml", text)
        with pytest.raises(BadTable, match="CSV"):
            desk.take(tmp_path / "lib", path)
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("content.xml", b" " * 150_000_000)
    path.write_bytes(held.getvalue())
    with pytest.raises(BadTable, match="more than any record"):
        desk.take(tmp_path / "lib", path)
