"""The bin: out of sight, never lost, emptied only on purpose; a code never changes meaning."""

import pytest

from library_made import a_photo, filled, reading
from swatchbath.errors import BadValue, NotFound
from swatchbath.library import Library


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


def test_what_is_in_the_bin_is_neither_found_nor_learned_from(lib):
    key = filled(lib)
    lib.add_measurement(key, reading())
    before = lib.swatch(key)
    lib.put_in_bin("12a", why="felted")
    assert (len(lib), lib.codes(), lib.find(), lib.find(text="weld")) == (0, [], [], [])
    assert lib.find(lab=[60, 5, 50]) == [] and lib.table()[0].empty
    for name in (key, "12a"):
        with pytest.raises(NotFound, match=f"in the bin.*bin {key} --take-out"):
            lib.swatch(name)
    (thing,) = lib.in_bin()
    assert (thing.code, thing.reading, thing.what) == (key, None, "swatch of lot 12 with 1 reading")
    with pytest.raises(BadValue, match="already"):
        lib.add_swatch(name="12a")  # its name waits for it
    assert lib.take_out("12a") == key
    assert lib.swatch(key) == before or lib.swatch(key).conditions == before.conditions
    assert [s.code for s, _ in lib.find(lab=[60, 5, 50], text="weld")] == [key]
    assert [e["what"] for e in lib.history(key)][-2:] == [
        "put in the bin (felted)", "taken out of the bin",
    ]  # fmt: skip


def test_a_reading_goes_in_and_comes_out(lib):
    key = filled(lib)
    lib.add_measurement(key, reading())
    lib.add_measurement(key, reading([20, 0, 0]))
    lib.put_in_bin(key, reading=2)
    assert lib.swatch(key).measured.lab.tolist() == [60, 5, 50]
    assert lib.find(lab=[20, 0, 0])[0][1].delta_e2000 > 20
    assert [(t.code, t.reading) for t in lib.in_bin()] == [(key, 2)]
    with pytest.raises(BadValue, match="already"):
        lib.put_in_bin(key, reading=2)
    lib.take_out(key, reading=2)
    assert lib.find(lab=[20, 0, 0])[0][1].delta_e2000 == 0
    with pytest.raises(NotFound, match="no reading 3; it has 2"):
        lib.put_in_bin(key, reading=3)


def test_emptied_on_purpose_it_is_gone_and_its_code_is_never_given_again(lib, tmp_path):
    first, last = filled(lib), lib.add_swatch(name="last")
    shared = lib.add_photo(a_photo(tmp_path / "a.png", seed=1))
    own = lib.add_photo(a_photo(tmp_path / "b.png", seed=2))
    lib.add_measurement(first, reading(), photo=shared)
    lib.add_measurement(last, reading(), photo=shared)
    lib.add_measurement(last, reading(), photo=own)
    own_file = lib.photo(own)
    sheet = lib.add_photo(a_photo(tmp_path / "c.png", seed=3))
    for key in (first, last):
        lib.add_shown(key, sheet, "pot sheet")
    lib.put_in_bin(last)
    gone = lib.empty_bin()
    assert (gone.codes, gone.readings, gone.photos) == ((last,), 2, 1)
    assert lib.photo(sheet).exists()
    assert not own_file.exists() and lib.photo(shared).exists()
    assert lib.in_bin() == [] and lib.orphans() == []
    with pytest.raises(NotFound, match="gone for good"):
        lib.swatch(last)
    with pytest.raises(NotFound, match="no swatch 'last' in the bin"):
        lib.take_out("last")
    new = lib.add_swatch(name="last")
    assert new not in (first, last)


def test_undo_passes_over_what_is_gone_for_good(lib):
    keep, go = lib.add_swatch(name="keep"), lib.add_swatch(name="go")
    lib.edit(keep, {"part": "b"})
    lib.edit(go, {"part": "c"})
    lib.put_in_bin(go)
    lib.empty_bin()
    lib.undo()
    assert lib.swatch(keep).part is None
    lib.undo()
    assert len(lib) == 0


def test_a_thing_that_is_not_there_is_said(lib):
    key = filled(lib)
    with pytest.raises(NotFound, match="in the bin"):
        lib.take_out(key)
    with pytest.raises(NotFound, match="code or name"):
        lib.put_in_bin("nobody")
    lib.put_in_bin(key)
    with pytest.raises(NotFound, match="is in the bin"):
        lib.put_in_bin(key)
    assert lib.empty_bin().codes == (key,)
    assert lib.empty_bin().codes == ()
