"""What steers a terminal is neither kept nor shown; words of all scripts and emoji are."""

import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swatchbath.characters import in_json, is_text, kept, shown
from swatchbath.errors import BadValue

ANY = st.text(st.characters())
WORDS = [
    "Krapp, 2. Zug", "шерсть", "羊毛 茜草", "ウール", "양모", "صوف أحمر", "צמר אדום", "ऊन", "ขนสัตว์",
    "می‌خواهم", "🧶", "👩‍🎨", "👍🏽", "🏴󠁧󠁢󠁳󠁣󠁴󠁿", "e\u0301", "½ kg, 60 °C", "a\tb", "two\nlines",
]  # fmt: skip


@pytest.mark.parametrize("word", WORDS)
def test_words_of_all_scripts_and_emoji_stay(word):
    assert kept(word) == word and shown(word) == word and is_text(word)


def steers(character):
    """By Unicode's own tables, not by our list."""
    direction = unicodedata.bidirectional(character)
    return (
        (unicodedata.category(character) == "Cc" and character not in "\t\n")
        or direction in ("LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI")
        or unicodedata.category(character) == "Cs"
    )


def test_every_character_that_steers_is_shown_otherwise():
    for number in range(0x110000):
        character = chr(number)
        if steers(character):
            assert shown(character) == "\ufffd", hex(number)
            assert character not in in_json(character)
        elif unicodedata.category(character)[0] in "LMNPS":
            assert shown(character) == kept(character) == character, hex(number)


@given(ANY)
def test_what_is_kept_can_be_shown_and_json_says_the_same(text):
    assert kept(kept(text)) == kept(text) and shown(shown(text)) == shown(text)
    assert json.loads(in_json(json.dumps(text, ensure_ascii=False))) == text
    shown(text).encode("utf-8")


def test_an_error_tells_of_what_was_typed_without_it():
    said = str(BadValue("'\x1b[2J\u202egnp' is no photo; \udcff take another."))
    assert said == "'\ufffd[2J\ufffdgnp' is no photo; \ufffd take another."


def test_an_error_is_one_line_and_does_not_hold_a_whole_damaged_file():
    from swatchbath.errors import BadValue

    assert str(BadValue("Row 3 holds 'a\nb'. Mend it.")) == "Row 3 holds 'a b'. Mend it."
    for held in ("a" * 70_000, "[" * 3000, "1,2 3\n" * 5000):
        said = str(BadValue(f"Row 3 holds '{held}', which is no number. Mend it."))
        assert said.startswith(f"Row 3 holds '{held[:3]}") and said.endswith("Mend it.")
        assert "..." in said and len(said) < 200
    path = "/media/" + "a long folder/" * 18 + "b.csv"
    assert str(BadValue(f"There is no {path}.")) == f"There is no {path}."
