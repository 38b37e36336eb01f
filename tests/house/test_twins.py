"""Every use is reached by Python, command and JSON under one name, and the README tells of it."""

import inspect

import pytest

from folders import ROOT
from swatchbath import desk
from swatchbath.cli import VERBS, main

README = (ROOT / "README.md").read_text(encoding="utf-8")


# `page` is a shell like the command itself, and no use of its own.
@pytest.mark.parametrize("verb", [verb for verb in VERBS if verb != "page"])
def test_each_verb_has_a_desk_function_help_json_and_a_mention(verb):
    assert inspect.isfunction(getattr(desk, verb))
    assert inspect.getdoc(getattr(desk, verb))
    command = main.get_command(None, verb)
    assert command.help
    assert any("--json" in p.opts for p in command.params)
    assert f"swatchbath {verb}" in README


def test_the_help_line_of_a_verb_is_the_first_of_its_help():
    for verb, line in VERBS.items():
        first = main.get_command(None, verb).help.splitlines()[0]
        assert first.rstrip(".")[:25] == line.rstrip(".")[:25], verb
