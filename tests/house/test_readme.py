"""The README's commands run as written, and its outputs are what they print."""

import re
import shlex

import pytest
from click.testing import CliRunner

from folders import ROOT
from swatchbath.cli import VERBS, main

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w*)\n(.*?)^```", README, re.M | re.S)


def test_the_first_two_blocks_are_the_newcomers_commands():
    first, second = (block for _, block in BLOCKS[:2])
    assert first == (
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/swatchbath demo\n"
    )
    assert second == (
        'python3 -m venv .venv && .venv/bin/pip install -e ".[dev]" && .venv/bin/pytest\n'
    )
    assert "In a clone of this repository, with Python 3.11 or newer:" in README


def test_every_command_shown_parses():
    shown = re.findall(r"^\$ swatchbath (.+)$", "".join(b for _, b in BLOCKS), re.M)
    assert len(shown) >= 5
    for line in shown:
        verb, *words = shlex.split(line)
        assert verb in VERBS
        # Parses: unknown options and missing arguments would be exit 2 with "Usage".
        result = CliRunner().invoke(main, [verb, *words, "--help"])
        assert result.exit_code == 0, line


@pytest.mark.parametrize("word", ["iron", "lye", "children", "safety sheet", "food"])
def test_the_cautions_are_there(word):
    assert word in README
