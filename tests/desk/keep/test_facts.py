"""Facts as they may be corrected: each can be typed again as it stands, and nothing changes."""

import swatchbath as sb
from swatchbath import desk


def test_each_fact_of_each_swatch_can_be_typed_as_it_is_shown(tmp_path):
    with sb.Library(tmp_path / "house", create=True) as lib:
        desk.record_sample(lib)
        lib.edit("24b", {"note": "by the window", "dyestuff_2": "indigo", "dye_owf_2": 5.0})
        for code in lib.codes()[::7] + [lib.swatch("24b").code]:
            told, _ = desk.facts(lib, code)
            assert len(told) > 8
            for fact in told:
                before = lib.swatch(code).conditions
                desk.edit(lib, code, [f"{fact.name}={fact.value}"], alone=True)
                assert lib.swatch(code).conditions == before, fact


def test_what_is_not_told_is_offered_and_what_is_told_is_not(tmp_path):
    with sb.Library(tmp_path / "house", create=True) as lib:
        code = lib.add_swatch(name="x", fibre={"fibre": "wool"})
        told, untold = desk.facts(lib, code)
        assert [(f.name, f.words, f.value) for f in told] == [
            ("name", "name", "x"), ("fibre", "fibre", "wool")
        ]  # fmt: skip
        names = [f.name for f in untold]
        assert "dyestuff" in names and "pH" in names
        assert not {"fibre", "name", "lot", "photo", "swatch"} & set(names)
        assert len(names) == len(set(names)) and all(f.value == "" for f in untold)
