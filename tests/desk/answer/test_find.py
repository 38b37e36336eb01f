"""`find` has the same words and order of arguments as the library's own, and gives a table too."""

import inspect

from library_made import filled, reading
from swatchbath import desk
from swatchbath.library import Library


def test_the_twins_agree():
    ours, theirs = (inspect.signature(f).parameters for f in (desk.find, Library.find))
    assert list(ours)[1:] == list(theirs)[1:] == ["text", "lab", "k"]
    for name in ("text", "lab", "k"):
        assert ours[name].kind is theirs[name].kind
        assert ours[name].default == theirs[name].default


def test_what_is_found_is_a_list_and_a_table(tmp_path):
    with Library(tmp_path, create=True) as lib:
        key = filled(lib)
        lib.add_measurement(key, reading((60, 5, 50)))
        other = lib.add_swatch(name="12b", fibre={"fibre": "silk"})
        near = lib.find("weld", lab=[61, 5, 50])
        assert isinstance(near, list) and near[0][0].code == key
        (row,) = near.to_frame().to_dict("records")
        assert row["code"] == key and row["dyestuff"] == "weld" and row["L"] == 60
        assert row["delta_e2000"] == near[0][1].delta_e2000
        for lab in ("61,5,50", [61, 5, 50]):
            found = desk.find(lib, "weld", lab=lab)
            assert isinstance(found, list) and found[0].words == near[0][1].words
            assert found.to_frame()["code"].tolist() == [key]
        assert desk.find(lib, lab=key) == [] and desk.find(lib)[0].swatch.code == other
        assert lib.find("nothing so called").to_frame().empty
