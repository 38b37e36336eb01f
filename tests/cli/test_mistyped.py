"""A mistyped command is one sentence."""

import json

import pytest
from click.testing import CliRunner

from swatchbath.cli import main


@pytest.mark.parametrize(
    "arguments", [["nosuch"], ["show"], ["suggest", "x", "--nosuch"], ["--nosuch"],
                  ["suggest", "62,12,48", "-k", "many"]],
)  # fmt: skip
def test_a_mistyped_command_is_one_sentence_and_exit_2(arguments):
    plain = CliRunner().invoke(main, arguments)
    assert plain.exit_code == 2 and plain.stderr.startswith("swatchbath: ")
    assert len(plain.stderr.strip().splitlines()) == 1 and plain.stderr.rstrip().endswith("--help.")
    told = CliRunner().invoke(main, [*arguments, "--json"])
    assert json.loads(told.stdout)["error"]["sentence"]
