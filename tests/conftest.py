"""Fixtures for every test, and how hard hypothesis works."""

from __future__ import annotations

import os

# Before numpy is imported: two workers that each take every core wait for one another.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("default", derandomize=True, deadline=None, max_examples=60)
settings.register_profile("thorough", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


@pytest.fixture(scope="session")
def reference() -> Path:
    """The folder with outside photos and check data, from SWATCHBATH_REFERENCE."""
    named = os.environ.get("SWATCHBATH_REFERENCE")
    if named and (Path(named) / "photos" / "patches.csv").is_file():
        return Path(named)
    sentence = (
        "Outside photos and check data are not here: set SWATCHBATH_REFERENCE to the folder that "
        "holds photos/ and checks/ to run this check."
    )
    if os.environ.get("SWATCHBATH_REQUIRE") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)


@pytest.fixture(autouse=True)
def no_library_of_ones_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No test touches the library or the logs of the person who runs it."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SWATCHBATH_LIBRARY", str(tmp_path / "no library here"))
