"""Ten invented books of ten different hands, taken in by the command's own function."""

import pytest

import swatchbath as sb
from books_made import BOOKS
from command import run
from swatchbath import desk


@pytest.mark.parametrize("book", BOOKS, ids=lambda b: b.file)
def test_a_book_of_another_hand(book, tmp_path):
    path = tmp_path / book.file
    book.write(path)
    looked = desk.take(tmp_path / "lib", path, columns=book.columns, dry_run=True)
    assert not (tmp_path / "lib").exists()
    done = desk.take(tmp_path / "lib", path, columns=book.columns)
    assert looked.taken == done.taken == book.taken, done.left_out
    reasons = dict(done.left_out)
    assert sorted(reasons) == sorted(book.left_out)
    for row, word in book.left_out.items():
        assert word in reasons[row]
    with sb.Library(tmp_path / "lib") as lib:
        assert len(lib) == book.taken
        for name, facts in book.facts.items():
            told = lib.swatch(name).conditions
            assert {n: told.get(n) for n in facts} == {
                n: v if isinstance(v, str) else pytest.approx(v, rel=1e-4) for n, v in facts.items()
            }, name
        for name, columns in book.absent.items():
            assert not set(columns) & set(lib.swatch(name).conditions), name


@pytest.mark.parametrize("book", BOOKS, ids=lambda b: b.file)
def test_a_second_taking_is_noticed_and_can_be_meant(book, tmp_path):
    path = tmp_path / book.file
    book.write(path)
    first = desk.take(tmp_path / "lib", path, columns=book.columns)
    again = desk.take(tmp_path / "lib", path, columns=book.columns)
    assert again.taken == 0 and again.taken_before == first.codes
    meant = desk.take(tmp_path / "lib", path, columns=book.columns, again=True, prefix="second ")
    assert meant.taken == first.taken
    assert not set(meant.codes.values()) & set(first.codes.values())


def test_the_first_rows_are_shown_as_they_would_be_recorded(tmp_path):
    book = next(b for b in BOOKS if b.file == "tidy.csv")
    path = tmp_path / book.file
    book.write(path)
    looked = desk.take(tmp_path / "lib", path, dry_run=True)
    assert len(looked.preview) == 3
    assert any("80 % weld" in line for line in looked.preview[0]["as_recorded"])
    assert looked.as_dict()["preview"][0]["row"] == 2


def test_what_a_book_is_taken_for_can_be_changed_or_left_out(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Tag,Yarn,Plant,Base,Ink\na,wool,weld,hill flock,red\n", encoding="utf-8")
    first = desk.take(tmp_path / "lib", path, dry_run=True)
    # Two headings that mean one thing: the first is taken, the other is kept beside.
    assert {h.given: h.column for h in first.headings}["Base"] == "Base"
    desk.take(tmp_path / "lib", path, columns=["Base=note", "Ink=leave out"])
    with sb.Library(tmp_path / "lib") as lib:
        assert lib.swatch("a").conditions == {
            "fibre": "wool", "dyestuff": "weld", "note": "hill flock",
        }  # fmt: skip
    with pytest.raises(sb.BadValue, match="no heading 'Bass'.*Base"):
        desk.take(tmp_path / "lib2", path, columns=["Bass=note"])
    with pytest.raises(sb.BadValue, match="heading=column"):
        desk.take(tmp_path / "lib2", path, columns=["Base"])
    with pytest.raises(sb.BadValue, match="no column 'wibble'"):
        desk.take(tmp_path / "lib2", path, columns=["Base=wibble"])


def test_one_fact_of_all_rows_is_told_once(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Tag,Plant,pH\na,weld,6\nb,madder,\n", encoding="utf-8")
    with pytest.raises(sb.BadTable, match="--set fibre="):
        desk.take(tmp_path / "lib", path)
    desk.take(tmp_path / "lib", path, cells=["fibre=wool", "pH=5"])
    with sb.Library(tmp_path / "lib") as lib:
        assert lib.swatch("a").conditions == {"fibre": "wool", "dyestuff": "weld", "pH": 6.0}
        assert lib.swatch("b").conditions["pH"] == 5.0


def test_a_taking_that_was_taken_back_can_be_made_again(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Yarn,Plant\nwool,weld\nwool,weld\nsilk,weld\n", encoding="utf-8")
    assert desk.take(tmp_path / "lib", path).taken == 3
    with sb.Library(tmp_path / "lib") as lib:
        desk.undo(lib)
        assert len(lib) == 0
    assert desk.take(tmp_path / "lib", path).taken == 3
    path.write_text("Yarn,Plant\nwool,weld\nwool,weld\nsilk,weld\nsilk,weld\n", encoding="utf-8")
    assert list(desk.take(tmp_path / "lib", path).codes) == [5]


def test_heat_and_time_in_words_are_read_as_a_diarys_line_is(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text(
        "Tag,Yarn,Plant,Temp,Time\na,wool,weld,simmer,overnight\nb,wool,weld,80-85 C,1 h\n"
        "c,wool,weld,room temperature,2 days\n",
        encoding="utf-8",
    )
    done = desk.take(tmp_path / "lib", path)
    assert [row for row, _ in done.left_out] == [3]
    assert done.left_out[0][1].startswith("Column Temp: 80-85 C are two numbers")
    with sb.Library(tmp_path / "lib") as lib:
        (step,) = lib.swatch("a").steps
        assert (step.heat, step.duration) == ("simmer", "overnight")
        told = lib.swatch("a").conditions
        assert told["temperature_C"] == step.temperature_C > 80 and told["minutes"] >= 480
        assert lib.swatch("c").conditions["minutes"] == 2880


def test_a_word_of_hers_is_explained_once(tmp_path):
    path = tmp_path / "b.csv"
    path.write_text("Tag,Yarn,Plant\na,Homespun,weld\nb,silk,weld\n", encoding="utf-8")
    done = desk.take(tmp_path / "lib", path, dry_run=True)
    assert '--word "Homespun=wool"' in dict(done.left_out)[2]
    assert desk.take(tmp_path / "lib", path, words=["homespun=wool"]).taken == 2
    with sb.Library(tmp_path / "lib") as lib:
        told = lib.swatch("a").conditions
        assert (told["fibre"], told["fibre_form"]) == ("wool", "Homespun")


def test_rows_of_one_reason_stand_together_on_the_screen(tmp_path):
    path = tmp_path / "b.csv"
    rows = "".join(f"{i},{'Homespun' if i < 5 else 'wool'},weld\n" for i in range(8))
    path.write_text(f"No,Yarn,Plant\n{rows}", encoding="utf-8")
    said = run("take", path, "--library", tmp_path / "lib").stdout
    assert "Rows 2 to 6: " in said and said.count("is not a fibre") == 1
    said = run("take", path, "--library", tmp_path / "lib").stdout
    assert "Rows 7 to 9: brought in before." in said and "--again" in said


def test_a_book_without_names_told_in_spoken_words(tmp_path):
    book = next(b for b in BOOKS if b.file == "spoken.txt")
    path = tmp_path / book.file
    book.write(path)
    codes = desk.take(tmp_path / "lib", path).codes
    with sb.Library(tmp_path / "lib") as lib:
        told = {row: lib.swatch(code).conditions for row, code in codes.items()}
    assert told[2]["fibre"] == "wool" and told[2]["fibre_form"] == "corriedale 2ply"
    assert (told[3]["modifier"], told[3]["dye_owf"]) == ("iron", 50)
    assert told[4]["mordant"] == "none" and told[4]["temperature_C"] == 87.8
    assert (told[6]["dyestuff"], told[6]["minutes"]) == ("avocado pits", 720)
    assert (told[7]["dyestuff_2"], told[7]["dye_2_how"]) == ("indigo", "over")
