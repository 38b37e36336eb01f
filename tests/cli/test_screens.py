"""No screen of any verb shows a column's name, a wrong plural, an exponent or a mark of ours."""

import re

import pytest

from command import run
from every_verb import LEFT_OUT, ask_everything
from swatchbath.cli import VERBS
from swatchbath.conditions.columns import COLUMNS, column

NAMES = [c.name for c in COLUMNS] + [
    f"{c.name}_{k}" for c in COLUMNS for k in range(2, 10) if column(f"{c.name}_{k}")
]
NAMES += [f"dye_{k}_how" for k in range(2, 10)]
MARKED = [name for name in NAMES if "_" in name]
# What is typed stands on a screen where a command to type does: --set dyestuff_lot=W99.
TYPED = re.compile(r"\S+=\S+")
PLURALS = re.compile(
    r"(?<![\w.,/])1 (swatches|rows|readings|photos|photographs|colours|lots|codes|pots|jars|"
    r"samples|places|changes|things|hours|minutes|days|knots|litres|dips|parts|columns|baths|"
    r"cells|deliveries|findings|cards|pictures|sittings)\b"
)
NOTATION = re.compile(r"\d(\.\d+)?e[+-]\d|\bnan\b|\bNone\b|\bTrue\b|\bFalse\b|\[\]|\{\}| UTC")


@pytest.fixture(scope="module")
def screens(sample_house, tmp_path_factory):
    """What every verb prints, by verb: the words typed and the screen."""
    shown = {}

    def asked(verb, *words, ok, library):
        at = ("--library", library) if library else ()
        done = run(verb, *words, *at, ok=ok)
        shown.setdefault(verb, []).append((words, " ".join(done.output.split()), done.output))

    ask_everything(tmp_path_factory.mktemp("screens"), sample_house, asked)
    return shown


@pytest.mark.parametrize("verb", [v for v in VERBS if v not in LEFT_OUT])
def test_a_screen_speaks_a_dyers_words(screens, verb):
    for words, flat, _ in screens[verb]:
        plain = TYPED.sub(" ", flat)
        for name in MARKED:
            assert not re.search(rf"(?<![\w/.]){name}(?![\w/])", plain), (words, name)
        for pattern in (PLURALS, NOTATION):
            found = pattern.search(flat)
            around = flat[max(0, found.start() - 60) : found.end() + 30] if found else ""
            assert not found, (words, around)


@pytest.mark.parametrize("verb", [v for v in VERBS if v not in LEFT_OUT])
def test_a_screen_is_no_wider_than_80(screens, verb):
    for words, _, text in screens[verb]:
        wide = [line for line in text.splitlines() if len(line) > 80 and "/" not in line]
        assert not wide, (words, wide)


def test_the_patterns_find_what_they_look_for():
    assert PLURALS.search("There were 1 swatches.") and not PLURALS.search(
        "21 swatches, 0.1 litres"
    )
    assert NOTATION.search("1.2e+03 g") and not NOTATION.search("the2e bath")
    assert "temperature_C" in MARKED and "dye_owf_2" in MARKED and "pH" not in MARKED
