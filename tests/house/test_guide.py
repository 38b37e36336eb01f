"""The guide and the figures name files that are there."""

import re

import pytest

from folders import ROOT

ENDINGS = (".py", ".json", ".md", ".toml", ".csv")
THERE = ["/" + p.relative_to(ROOT).as_posix() for p in ROOT.rglob("*")
         if p.suffix in ENDINGS and ".venv" not in p.parts]  # fmt: skip


@pytest.mark.parametrize("page", ["DEVELOPERS.md", "tests/studies/FIGURES.md"])
def test_every_file_named_is_there(page):
    named = re.findall(r"`([\w./]+)`", (ROOT / page).read_text(encoding="utf-8"))
    files = {n for n in named if n.endswith(ENDINGS) and not re.search("[A-Z]{3,}", n[:-3])}
    assert len(files) > 10
    made = {"learnt.json"}  # beside a person's library
    missing = {n for n in files - made if not any(t.endswith(f"/{n}") for t in THERE)}
    assert not missing
