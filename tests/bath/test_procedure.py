"""A suggestion as a thing to do: what is hers, what is common practice, and how a pH is brought."""

from hypothesis import given
from hypothesis import strategies as st

from swatchbath.bath.diary.reading import read_step
from swatchbath.bath.procedure import acids_and_alkalis, as_done, brought_to, procedure
from swatchbath.bath.steps import steps_of

BATH = {"fibre": "wool", "mordant": "alum", "mordant_owf": 12.0, "dyestuff": "madder",
        "dye_owf": 50.0, "temperature_C": 60.0, "minutes": 60.0, "modifier": "none"}  # fmt: skip
ORDER = ["scour", "mordant", "rest", "enter", "hold", "cool", "after-bath", "finish"]


def moves(bath, like=()):
    return procedure(as_done(steps_of(bath)), bath["fibre"], [read_step(line) for line in like])


def test_the_moves_come_in_the_order_they_are_done():
    kinds = [m.kind for m in moves(BATH | {"modifier": "iron", "modifier_owf": 1.0})]
    assert kinds == ORDER
    assert [m.kind for m in moves(BATH)] == [k for k in ORDER if k != "after-bath"]


def test_what_she_does_is_told_apart_from_common_practice():
    found = {m.kind: m for m in moves(BATH)}
    assert found["hold"].hers and "60 °C" in found["hold"].words
    assert not any(found[k].hers for k in ("scour", "mordant", "rest", "enter", "cool", "finish"))
    like = ["scour: soap, 40 C, 30 min", "mordant: alum 15 %, 70 C, 90 min", "rinse: until clear"]
    hers = {m.kind: m for m in moves(BATH, like)}
    assert hers["scour"].hers and hers["mordant"].hers and hers["finish"].hers
    assert "70 °C" in hers["mordant"].words and "until clear" in hers["finish"].words
    no_heat = {k: v for k, v in BATH.items() if k != "temperature_C"}
    assert not {m.kind: m for m in moves(no_heat)}["hold"].hers


def test_madder_of_which_no_heat_is_told_is_kept_from_browning():
    no_heat = {k: v for k, v in BATH.items() if k != "temperature_C"}
    assert "70 °C" in {m.kind: m for m in moves(no_heat)}["hold"].words
    weld = {m.kind: m for m in moves(no_heat | {"dyestuff": "weld"})}
    assert "85 °C" in weld["hold"].words


def test_wool_is_not_boiled_and_a_cold_bath_not_raised():
    assert "simmer" not in " ".join(m.words for m in moves(BATH))
    assert "simmer" in " ".join(m.words for m in moves(BATH | {"fibre": "cotton"}))
    cold = " ".join(m.words for m in moves(BATH | {"temperature_C": 20.0}))
    assert "raise the heat" not in cold and "cool in the bath" not in cold


@given(pH=st.floats(3, 10), fibre=st.sampled_from(["wool", "silk", "cotton"]))
def test_a_pH_is_told_with_what_brings_it_there_or_not_at_all(pH, fibre):
    (dye,) = [s for s in as_done(steps_of(BATH | {"fibre": fibre, "pH": pH}), ["ash lye", "lime"])
              if s.kind == "dye"]  # fmt: skip
    assert dye.pH is None
    told = {m.name: m.told for m in dye.materials if m.told}
    if 5.5 <= pH <= 7.5:
        assert not told and brought_to(dye) is None
    else:
        # Never by lye or lime that she used for something else.
        assert set(told) == {"vinegar" if pH < 7 else "washing soda"}
        assert brought_to(dye) == float(f"{pH:g}")


def test_her_own_acid_brings_it_and_what_is_weighed_stays_weighed():
    assert acids_and_alkalis([{"assist": "citric acid"}, {"modifier": "citric acid"},
                              {"modifier": "vinegar"}, {"modifier": "iron"}]) == [
        "citric acid", "vinegar",
    ]  # fmt: skip
    dye = as_done(steps_of(BATH | {"pH": 4.0}), ["citric acid"])[1]
    assert [m.name for m in dye.materials] == ["madder", "citric acid"]
    after = as_done(steps_of(BATH | {"modifier": "vinegar", "modifier_owf": 5.0,
                                     "modifier_pH": 4.0}))[-1]  # fmt: skip
    assert after.materials[0].owf == 5.0 and after.materials[0].told is None
    sour = as_done(steps_of(BATH | {"modifier": "vinegar", "modifier_pH": 4.0}))[-1]
    assert brought_to(sour) == 4.0 and len(sour.materials) == 1


def test_a_wash_of_which_only_a_pH_was_told_is_no_step():
    assert [s.kind for s in as_done(steps_of(BATH | {"wash_pH": 7.0}))][-1] != "wash"
