"""What is on record to choose from."""

from swatchbath import desk


def test_words_of_the_record_the_usual_first(tmp_path):
    house = tmp_path / "house"
    for dye, fibre, n in (("weld 80 %", "wool", 3), ("madder 50 %", "silk", 1)):
        for _ in range(n):
            desk.pot(house, ["mordant: alum 12 %", f"dye: {dye}"], fibres=[fibre], after=["none"])
    desk.pot(house, ["dye: madder 50 %"], fibres=["wool"], after=["iron 1 %"])
    with desk.open_library(house) as library:
        found = desk.choices(library)
    assert found["dyestuff"] == ["weld", "madder"] and found["fibre"] == ["wool", "silk"]
    assert found["mordant"] == ["alum"] and found["modifier"] == ["iron"]  # never "none"


def test_nothing_on_record_is_nothing_to_choose(tmp_path):
    with desk.open_library(tmp_path / "house", create=True) as library:
        assert not any(desk.choices(library).values())
