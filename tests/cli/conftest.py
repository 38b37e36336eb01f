"""What tests of the command share: a small library."""

import pytest

from library_made import a_photo, filled, reading
from swatchbath.library import Library


@pytest.fixture
def folder(tmp_path):
    with Library(tmp_path / "house", create=True) as lib:
        key = filled(lib)
        lib.add_measurement(key, reading(), photo=lib.add_photo(a_photo(tmp_path / "a.png")))
        lib.add_swatch(name="12b", lot="12", fibre={"fibre": "silk"})
    (tmp_path / "stick").mkdir()
    return tmp_path / "house"
