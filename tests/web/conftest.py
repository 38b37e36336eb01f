"""Pages of libraries: of none, of the sample house to look at, and of a copy to write in."""

import shutil

import pytest

from page_made import Browser
from swatchbath import desk


@pytest.fixture
def browse(tmp_path):
    """The page of a library that is not there yet."""
    return Browser(tmp_path / "library")


@pytest.fixture(scope="session")
def _house(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page") / "library"
    with desk.open_library(folder, create=True) as library:
        desk.record_sample(library)
    return folder


@pytest.fixture
def house(_house, tmp_path):
    """The page of a copy of the sample house, to write in."""
    shutil.copytree(_house, tmp_path / "house")
    return Browser(tmp_path / "house")


@pytest.fixture(scope="session")
def looked(_house):
    """The page of the sample house, to look at only."""
    return Browser(_house)


@pytest.fixture(scope="module")
def looked_module(_house):
    """The same, for what is looked at by several tests of a module."""
    return Browser(_house)
