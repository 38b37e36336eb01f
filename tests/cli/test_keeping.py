"""The verbs that keep a library: edit, undo, bin, backup, restore, verify."""

import pytest

from command import run, run_json
from swatchbath.library import Library

MISTAKES = {
    "nothing to change": ["edit", "12a"],
    "no sign": ["edit", "12a", "--set", "pH"],
    "no column": ["edit", "12a", "--set", "=6"],
    "twice": ["edit", "12a", "--set", "pH=6", "--set", "pH=7"],
    "the code": ["edit", "12a", "--set", "code=33333"],
    "out of range": ["edit", "12a", "--set", "pH=19"],
    "nobody": ["edit", "nobody", "--set", "pH=6"],
    "half a reading": ["edit", "12a", "--reading", "1"],
    "no such reading": ["edit", "12a", "--reading", "9", "--state", "wet"],
    "no such state": ["edit", "12a", "--reading", "1", "--state", "damp"],
    "bin nobody": ["bin", "nobody"],
    "take out nobody": ["bin", "nobody", "--take-out"],
    "take out what": ["bin", "--take-out"],
    "empty one": ["bin", "12a", "--empty"],
    "for good what": ["bin", "12a", "--for-good"],
    "no place": ["backup", "no/such/folder"],
}


@pytest.mark.parametrize("words", MISTAKES.values(), ids=MISTAKES)
def test_a_mistake_gets_one_sentence_and_changes_nothing(folder, words):
    with Library(folder) as lib:
        before = [lib.history(k) for k in lib.codes()]
    answer = run_json(*words, folder=folder, ok=2)
    assert answer["error"]["sentence"][-1] in ".R"  # a command may stand last
    with Library(folder) as lib:
        assert [lib.history(k) for k in lib.codes()] == before


@pytest.mark.parametrize("verb", ["edit", "undo", "bin", "backup", "verify"])
def test_without_a_library_each_says_so(tmp_path, verb):
    words = {"edit": ["12a", "--set", "pH=6"]}.get(verb, [])
    refused = run_json(verb, *words, folder=tmp_path / "nowhere", ok=2)
    assert "no library" in refused["error"]["sentence"]
    assert not (tmp_path / "nowhere").exists()


@pytest.mark.parametrize("verb", ["edit", "undo", "bin", "backup", "restore", "verify"])
def test_help_starts_with_examples(verb):
    lines = run(verb, "--help").output.splitlines()
    examples = lines.index("  Examples:")
    assert examples < 7 and max(map(len, lines)) <= 80
