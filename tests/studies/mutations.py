"""Small wrong changes, made on purpose, one at a time: which of them does the suite not notice?

    python tests/studies/mutations.py [--only TEXT] [--all] [--seconds 400] [--workers 1]

Copies the checkout, makes one change of mutations.toml in the copy, runs the tests named beside it
until the first that fails, and puts the file back. Prints each change as caught, survived or timed
out, and at the end those that were not caught; the exit code is 0 where they are at most one in
fifteen. Refuses to begin where an old text no longer stands exactly once in its file. --only :
changes whose file, text or reason holds this. --all : the whole suite for each, in place of the
tests named, so that a survivor is one of all. Last figures: FIGURES.md.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("src", "tests", "sample_swatches", "notebooks", "pyproject.toml", "README.md",
          "DEVELOPERS.md", "LICENSE")  # fmt: skip
# Of so many changes made one may survive: 56 of 60 are to be caught.
ONE_IN = 15


class Change(NamedTuple):
    """One of mutations.toml, where the fields are told."""

    file: str
    old: str
    new: str
    tests: str
    why: str


CHANGES = tuple(
    Change(**told)
    for told in tomllib.loads(Path(__file__).with_suffix(".toml").read_text("utf-8"))["change"]
)


def stands_once(root: Path) -> list[str]:
    """What keeps the changes from being made: one sentence for each."""
    out = []
    for change in CHANGES:
        path = root / "src/swatchbath" / change.file
        count = path.read_text("utf-8").count(change.old) if path.is_file() else 0
        if count != 1:
            out.append(f"{change.file}: '{change.old}' stands there {count} times, not once.")
        elif change.old == change.new:
            out.append(f"{change.file}: '{change.old}' is not changed.")
        for name in change.tests.split():
            if not (root / "tests" / name).exists():
                out.append(f"tests/{name}, named for {change.file}, is not there.")
    return out


def try_one(copy: Path, change: Change, seconds: float, whole: bool) -> tuple[str, str]:
    """("caught" | "survived" | "timed out", the test that noticed)."""
    path = copy / "src/swatchbath" / change.file
    text = path.read_text("utf-8")
    named = [] if whole else [f"tests/{name}" for name in change.tests.split()]
    words = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "--no-header", "-p",
             "no:cacheprovider", *named]  # fmt: skip
    path.write_text(text.replace(change.old, change.new), "utf-8")
    try:
        done = subprocess.run(
            words,
            cwd=copy,
            env=os.environ | {"PYTHONPATH": str(copy / "src")},
            capture_output=True,
            text=True,
            timeout=seconds,
        )
    except subprocess.TimeoutExpired:
        return "timed out", ""
    finally:
        path.write_text(text, "utf-8")
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode not in (0, 1):  # pytest: 0 all passed, 1 some failed
        return ("caught", failed[0]) if failed else ("broken", done.stdout[-400:])
    return ("caught", failed[0] if failed else "") if done.returncode else ("survived", "")


def main() -> int:
    about = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    about.add_argument("--only", default="", help="changes whose file, text or reason holds this")
    about.add_argument("--all", action="store_true", help="the whole suite for each")
    about.add_argument("--seconds", type=float, default=400, help="the longest one may take")
    about.add_argument("--workers", type=int, default=1, help="copies tried at once")
    asked = about.parse_args()
    if wrong := stands_once(ROOT):
        print("\n".join(wrong))
        return 2
    chosen = [c for c in CHANGES if asked.only in f"{c.file} {c.old} {c.why}"]
    found: dict[Change, str] = {}
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for i in range(asked.workers):
            copy = Path(folder) / str(i)
            copy.mkdir()
            for name in COPIED:
                if (ROOT / name).is_dir():
                    shutil.copytree(ROOT / name, copy / name)
                else:
                    shutil.copy(ROOT / name, copy / name)
            copies.put(copy)

        def work(change: Change) -> None:
            copy, began = copies.get(), time.monotonic()
            try:
                found[change], by = try_one(copy, change, asked.seconds, asked.all)
            finally:
                copies.put(copy)
            took = time.monotonic() - began
            print(f"{found[change]:9} {took:4.0f} s  {change.file}: {change.why}  {by}", flush=True)

        with ThreadPoolExecutor(asked.workers) as pool:
            list(pool.map(work, chosen))
    left = [c for c in chosen if found[c] != "caught"]
    print(f"\n{len(chosen) - len(left)} of {len(chosen)} noticed. Not noticed:")
    for change in left:
        print(f"  {change.file}: {change.old!r} -> {change.new!r} ({change.why})")
    return 0 if len(left) * ONE_IN <= len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main())
