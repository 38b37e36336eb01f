"""Fixtures for every test, and how hard hypothesis works."""

from __future__ import annotations

import os

# Before numpy is imported: two workers that each take every core wait for one another.
os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from few_tried import few_tried

HERE = Path(__file__).parent

settings.register_profile("default", derandomize=True, deadline=None, max_examples=60)
settings.register_profile("thorough", deadline=None, max_examples=1000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))


# The files that take longest (from 12 CPU seconds on), the longest first: begun first, so that both
# workers end together. From `pytest --durations=0`; a file missed here costs some seconds.
LONGEST = (
    "tests/predict/search/test_suggestion.py",
    "tests/cli/test_answers.py",
    "tests/photo/correction/test_corrections.py",
    "tests/cli/test_unlike.py",
    "tests/cli/test_screens.py",
    "tests/cli/test_plan.py",
    "tests/library/safety/test_full_disk.py",
    "tests/predict/search/test_experiment.py",
    "tests/photo/test_measure.py",
    "tests/cli/test_measure.py",
    "tests/photo/place/test_segmentation.py",
    "tests/desk/keep/test_reread.py",
    "tests/colorimetry/test_interval.py",
    "tests/photo/sheet/test_detect.py",
    "tests/predict/test_model.py",
    "tests/cli/test_check.py",
    "tests/desk/entry/test_photos.py",
    "tests/desk/answer/test_suggest.py",
    "tests/photo/place/test_texture.py",
    "tests/desk/answer/test_delivery.py",
    "tests/photo/sheet/test_own_sheet.py",
)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Long files first, the rest in its order."""
    place = {name: i for i, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.nodeid.split("::")[0], len(place)))


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


@pytest.fixture(scope="session")
def sample_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample house as a library that was learnt from, made once for both workers. Nothing is
    ever written to it: `sample_house` is a copy."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    there = shared / "sample house"
    if not there.exists():
        import swatchbath as sb
        from swatchbath import desk

        mine = tmp_path_factory.mktemp("made") / "library"
        with sb.Library(mine, create=True) as lib:
            desk.record_sample(lib)
            desk.learn(lib)
        try:
            mine.rename(there)
        except OSError:  # the other worker was done first
            assert there.exists()
    return there


@pytest.fixture(scope="module")
def sample_house(sample_made: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the sample house, learnt from, for the tests of one file."""
    return Path(shutil.copytree(sample_made, tmp_path_factory.mktemp("house") / "library"))


@pytest.fixture(scope="module", autouse=True)
def small_search(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fewer baths are tried in tests of the desk and the command, which are about what is said of
    baths; how well they are sought, tests/predict tries with the whole search, and so does a file
    that says `WHOLE_SEARCH = True`."""
    told = {"cli", "desk"} & set(Path(request.path).relative_to(HERE).parts)
    if not told or getattr(request.module, "WHOLE_SEARCH", False):
        yield
    else:
        with few_tried():
            yield
