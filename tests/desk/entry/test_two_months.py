"""Two invented diaries of a month, typed as commands: nothing is lost, little is asked back."""

import json
import re
import shlex
from pathlib import Path

import pytest

from command import run
from swatchbath import read_step
from swatchbath.errors import SwatchbathError

FOLDER = Path(__file__).parent


def entries(name):
    for row in (FOLDER / name).read_text(encoding="utf-8").splitlines():
        if row.strip() and not row.startswith("#"):
            words, _, label = row.rpartition(" #")
            yield shlex.split(words), label


class Month:
    """Types a diary; keeps which swatch was told what, in order, outside the library."""

    def __init__(self, folder):
        self.folder = folder
        self.given = {}  # label -> codes
        self.told = {}  # code -> lines, or None where a bath was repeated with a change
        self.asked = self.questions = self.entries = 0

    def named(self, word):
        def code(found):
            return self.given[found[1]][int(found[2] or 1) - 1]

        return re.sub(r"@(\w+)(?:\.(\d+))?", code, word)

    def type(self, words, label):
        words = [self.named(w) for w in words]
        self.entries += 1
        if label == "asks":
            run(*words, "--library", self.folder, ok=2)
            self.asked += 1
            return
        answer = json.loads(run(*words, "--library", self.folder, "--json").stdout)
        self.questions += bool(answer.get("questions"))
        if words[0] == "codes":
            self.given[label] = answer["codes"]
            return
        codes = [s["code"] for s in answer["swatches"]]
        self.given[label] = codes
        options = list(zip(words[1::2], words[2::2], strict=True))
        lines = [value for name, value in options if name == "--step"]
        after = [value for name, value in options if name == "--after"] or [None]
        again = "--like" in words
        for i, code in enumerate(codes):
            own = after[i % len(after)]
            more = lines + ([] if own is None else [f"after-bath: {own}"])
            before = self.told.get(code, [])
            self.told[code] = None if again or before is None else before + more


@pytest.fixture(params=["month_tidy.txt", "month_untidy.txt"], scope="module")
def month(request, tmp_path_factory):
    month = Month(tmp_path_factory.mktemp("month") / "library")
    for words, label in entries(request.param):
        month.type(words, label)
    return month


def test_forty_swatches_are_on_record_with_little_asked_back(month):
    assert len(month.told) >= 40
    assert 10 * (month.asked + month.questions) <= month.entries + 9


def test_every_bath_is_told_back_as_it_was_told(month):
    for code, lines in month.told.items():
        if lines is None:
            continue
        shown = json.loads(run("show", code, "--library", month.folder, "--json").stdout)
        said = [t["told"] for t in shown["steps"]]
        wanted = [" ".join(line.split()).replace("after-bath: after-bath:", "after-bath:")
                  for line in lines]  # fmt: skip
        assert said == [_without_doubling(line) for line in wanted]


def _without_doubling(line):
    """An after-bath that begins with its own word is not told twice."""
    rest = line.removeprefix("after-bath: ")
    if rest == line:
        return line
    try:
        alone = read_step(rest).kind == "after-bath"
    except SwatchbathError:
        alone = False
    return rest if alone else line


def test_a_repeated_bath_differs_in_what_was_said_and_in_nothing_else(month):
    for words, label in [e for m in ("month_tidy.txt", "month_untidy.txt") for e in entries(m)]:
        if "--like" not in words or label not in month.given:
            continue
        change = words[words.index("--set") + 1].partition("=")
        code = month.given[label][0]
        labels = list(month.given)
        like = words[words.index("--like") + 1]
        source = labels[labels.index(label) - 1] if like == "last" else like.removeprefix("@")
        was, now = (
            json.loads(run("show", c, "--library", month.folder, "--json").stdout)
            for c in (month.given[source][-1 if like == "last" else 0], code)
        )
        assert [s["kind"] for s in now["steps"]] == [s["kind"] for s in was["steps"]]
        differs = [n for n, o in zip(now["steps"], was["steps"], strict=True) if n != o]
        assert len(differs) == 1
        assert now["conditions"] != was["conditions"]
        assert str(now["conditions"][change[0]]) in (change[2], f"{change[2]}.0")
