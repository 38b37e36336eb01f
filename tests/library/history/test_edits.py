"""Corrections keep what was there before, tell all that share a pot, and can be taken back."""

import json
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from library_made import DYE, IRON, filled, reading
from swatchbath.bath.step import Material, Step
from swatchbath.bath.step_edit import with_value
from swatchbath.bath.steps import conditions_of, steps_of
from swatchbath.errors import BadValue, NotFound, SwatchbathError
from swatchbath.library import Library, clock


@pytest.fixture
def lib(tmp_path):
    with Library(tmp_path / "house", create=True) as library:
        yield library


def everything(lib):
    """All that is on record, for comparing: every row of every table but the memory itself."""
    with lib.reading() as db:
        tables = ("swatch", "lot", "step", "material", "measurement", "photo", "shown")
        names = {
            "step": "lot, swatch, position, kind, pH, minutes, note, typed",
            "material": "position, role, name, owf, form, dyestuff_lot, how_known, strip",
        }
        return {
            t: sorted(map(repr, map(tuple, db.execute(f"SELECT {names.get(t, '*')} FROM {t}"))))
            for t in tables
        }


def put(lib, name, lot="12", **bath):
    row = {"dyestuff": "weld", "dye_owf": 80.0, "pH": 6.0} | bath
    if lot:
        lib.add_lot([], name=lot, session="2026-03-14")
    return lib.add_swatch(name=name, lot=lot, steps=steps_of(row), fibre={"fibre": "wool"})


def test_a_value_is_corrected_and_the_old_one_kept_with_its_time_and_reason(lib, monkeypatch):
    key = put(lib, "a")
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 1, 2, 3, 4, 5, tzinfo=UTC))
    done = lib.edit("a", {"pH": "5,5"}, why="misread the strip")
    assert done.changed == {"pH": (6.0, 5.5)}
    assert lib.swatch(key).conditions["pH"] == 5.5
    last = lib.history(key)[-1]
    assert last["when"] == "2027-01-02T03:04:05+00:00"
    assert last["what"] == "corrected: pH of the dye bath: 5.5, was 6 (misread the strip)"


def test_what_no_column_tells_stays_in_the_steps(lib):
    rinse = Step("rinse", temperature_C=30.0, note="twice")
    oddity = Step("mordant", (Material("other", "milk", 3.0),), note="as grandmother did")
    key = lib.add_swatch(steps=[oddity, DYE, IRON, rinse], fibre={"fibre": "wool"})
    lib.edit(key, {"dye_owf": 70, "modifier_owf": "3 %", "mordant": "alum", "wash_pH": 7})
    steps = lib.swatch(key).steps
    assert oddity in steps
    (rinsed,) = [s for s in steps if s.kind == "rinse"]
    assert (rinsed.temperature_C, rinsed.note, rinsed.pH) == (30.0, "twice", 7.0)
    assert [s.kind for s in steps] == ["mordant", "mordant", "dye", "after-bath", "rinse"]
    assert lib.swatch(key).conditions | {"dye_owf": 70.0, "modifier_owf": 3.0} == (
        lib.swatch(key).conditions
    )


def test_a_fact_of_the_pot_is_corrected_for_all_that_share_it_and_said(lib):
    one, two, three = put(lib, "a"), put(lib, "b", modifier="iron"), put(lib, "c", pH=8.0)
    other = put(lib, "d", lot="13")
    done = lib.edit(one, {"pH": 5})
    assert (done.lot, done.also, done.kept) == ("12", (two,), (three,))
    assert [lib.swatch(k).conditions["pH"] for k in (one, two, three, other)] == [5, 5, 8, 6]
    # An after-bath, the mordant and an over-dye are the swatch's own.
    done = lib.edit(one, {"modifier": "vinegar", "dyestuff_2": "madder", "dye_2_how": "over"})
    assert done.also == () and done.lot is None
    assert "dyestuff_2" not in lib.swatch(two).conditions
    assert lib.edit(two, {"minutes": 20}, alone=True).also == ()
    assert "minutes" not in lib.swatch(one).conditions


def test_a_lot_that_keeps_the_steps_itself_is_corrected_once_for_all(lib):
    one = filled(lib)
    two = lib.add_swatch(lot="12", part="b", fibre={"fibre": "silk"})
    done = lib.edit(one, {"dye_owf": 60, "mordant": "alum"})
    assert (done.lot, done.also) == ("12", (two,))
    assert lib.swatch(two).conditions["dye_owf"] == 60
    assert lib.swatch(two).conditions["mordant"] == "alum"
    with pytest.raises(BadValue, match="cannot be set"):
        lib.edit(one, {"dye_owf": 50}, alone=True)
    lib.edit(two, {"session": "2026-03-15"})
    assert lib.swatch(one).session == "2026-03-15"


def test_a_pot_is_not_changed_where_that_would_change_what_another_swatch_tells(lib):
    one = filled(lib)
    over = Step("dye", (Material("dyestuff", "madder"),))
    lib.add_swatch(name="b", lot="12", steps=[over], fibre={"fibre": "silk"})
    before = everything(lib)
    with pytest.raises(BadValue, match="whole pot 12.*correct that swatch first"):
        lib.edit(one, {"dyestuff_2": "lac"})
    assert everything(lib) == before
    lib.edit(one, {"dyestuff_2": "lac", "dye_2_how": "over"}, alone=True)
    assert lib.swatch("b").conditions["dyestuff_2"] == "madder"


def test_notes_stay_where_the_steps_have_to_be_told_anew(lib):
    row = {"dyestuff": "weld", "dyestuff_2": "madder", "dye_2_how": "together", "modifier": "iron"}
    noted = [Step(s.kind, s.materials, note=f"note {i}") for i, s in enumerate(steps_of(row))]
    key = lib.add_swatch(steps=noted)
    lib.edit(key, {"dye_2_how": "over"})
    assert [(s.kind, s.note) for s in lib.swatch(key).steps] == [
        ("dye", "note 0"), ("dye", ""), ("after-bath", "note 1"),
    ]  # fmt: skip


def test_a_value_that_was_changed_by_other_means_is_not_put_back_blindly(lib):
    key = put(lib, "a")
    lib.edit(key, {"part": "b"})
    with lib.atomic(), lib.reading() as db:
        db.execute("UPDATE swatch SET part = 'c'")
    with pytest.raises(BadValue, match="no longer what it made of it"):
        lib.undo()
    assert lib.swatch(key).part == "c"


WRONG = {
    "nothing": {},
    "code": {"code": "33333"},
    "photo": {"photo": "x"},
    "no column": {"dyestuf": "red"},
    "pH 19": {"pH": 19},
    "words for a number": {"pH": "sour"},
    "amount without its material": {"mordant_owf": 12},
    "a gap in the numbers": {"dyestuff_3": "lac"},
    "unknown fibre": {"fibre": "plastic"},
    "name of another": {"name": "b"},
    "name that reads as a code": {"name": "NJCE3"},
    "one good and one bad": {"pH": 5, "minutes": -3},
    "lot with other steps": {"lot": "full"},
}


@pytest.mark.parametrize("values", WRONG.values(), ids=WRONG)
def test_what_cannot_be_is_refused_in_a_sentence_and_changes_nothing(lib, values):
    key = put(lib, "a")
    put(lib, "b")
    lib.add_lot([IRON], name="full")
    before = everything(lib)
    with pytest.raises(SwatchbathError) as error:
        lib.edit(key, values)
    assert str(error.value).endswith(".") and "Row" not in str(error.value)
    assert everything(lib) == before
    with lib.reading() as db:
        assert not db.execute("SELECT * FROM change WHERE kind = 'edit'").fetchall()


def test_a_material_that_was_none_takes_its_amounts_along(lib):
    key = put(lib, "a", mordant="alum", mordant_owf=12.0, modifier="iron", modifier_pH=7.0)
    lib.edit(key, {"mordant": "none", "modifier": ""})
    left = lib.swatch(key).conditions
    assert left["mordant"] == "none"
    assert not {"mordant_owf", "modifier", "modifier_pH"} & set(left)


def test_moving_to_another_lot_leaves_the_bath_as_it_is(lib):
    key = filled(lib)
    before = lib.swatch(key).conditions
    lib.edit(key, {"lot": ""})
    assert (lib.swatch(key).lot, lib.swatch(key).session) == (None, "2026-03-14")
    lib.edit(key, {"lot": "new"})
    assert (lib.swatch(key).lot, lib.swatch(key).session) == ("new", "2026-03-14")
    lib.edit(key, {"lot": "12"})
    assert lib.swatch(key).conditions == before
    for _ in range(3):
        lib.undo()
    assert lib.swatch(key).lot == "12"


def test_the_state_of_a_reading_is_corrected(lib):
    key = filled(lib)
    lib.add_measurement(key, reading())
    lib.edit_state(key, 1, "wet", why="it was dripping")
    assert lib.swatch(key).measured is None
    assert "state: wet, was dry (it was dripping)" in lib.history(key)[-1]["what"]
    lib.undo()
    assert lib.swatch(key).measured is not None
    with pytest.raises(NotFound, match="no reading 7; it has 1"):
        lib.edit_state(key, 7, "wet")


def test_changes_are_taken_back_one_by_one_also_in_a_new_opening(lib):
    states = [everything(lib)]

    def did(act):
        act()
        states.append(everything(lib))

    did(lambda: put(lib, "a"))
    did(lambda: put(lib, "b"))
    undoable = len(states)
    did(lambda: lib.edit("a", {"pH": 5}))
    did(lambda: lib.edit("b", {"name": "c"}))
    did(lambda: lib.edit("c", {"mordant": "alum", "mordant_owf": 10, "minutes": 40}))
    did(lambda: lib.put_in_bin("a"))
    lib.close()
    for state in reversed(states[undoable - 1 : -1]):
        with Library(lib.folder) as again:
            again.undo()
            assert everything(again) == state
    with Library(lib.folder) as again:
        done = again.undo()
        assert len(done.binned) == 1 and len(again) == 1  # the recording of b
        again.undo()
        assert len(again) == 0 and len(again.in_bin()) == 2
        with pytest.raises(NotFound, match="no change left"):
            again.undo()


def test_a_change_after_an_undo_is_the_last_one(lib):
    put(lib, "a")
    for value in (5, 4):
        lib.edit("a", {"pH": value})
    lib.undo()
    lib.edit("a", {"pH": 3})
    lib.undo()
    assert lib.swatch("a").conditions["pH"] == 5
    lib.undo()
    assert lib.swatch("a").conditions["pH"] == 6
    assert [e["what"] for e in lib.history("a")][1:] == [
        f"{how}: pH of the dye bath: {now}, was {was}"
        for how, now, was in [
            ("corrected", 5, 6), ("corrected", 4, 5), ("taken back", 5, 4),
            ("corrected", 3, 5), ("taken back", 5, 3), ("taken back", 6, 5),
        ]
    ]  # fmt: skip


def test_all_inside_one_write_is_taken_back_together(lib):
    with lib.atomic():
        put(lib, "a")
        lib.add_measurement("a", reading())
        put(lib, "b")
    lib.undo()
    assert len(lib) == 0


def test_a_write_that_failed_is_no_change(lib):
    put(lib, "a")
    with pytest.raises(BadValue):
        with lib.atomic():
            lib.edit("a", {"pH": 5})
            lib.edit("a", {"pH": 19})
    with lib.atomic():
        with pytest.raises(BadValue):
            with lib.atomic():
                lib.edit("a", {"pH": 4})
                lib.edit("a", {"pH": 19})
        lib.edit("a", {"pH": 7})
    assert lib.swatch("a").conditions["pH"] == 7
    lib.undo()
    assert lib.swatch("a").conditions["pH"] == 6
    assert len(lib) == 1


def test_a_pot_whose_recording_was_taken_back_can_be_recorded_otherwise(lib):
    key = filled(lib)
    lib.undo()
    again = lib.add_lot([IRON], name="12", session="2026-04-01")
    other = lib.add_swatch(name="new", lot=again)
    assert lib.swatch(other).steps == (IRON,)
    lib.take_out(key)
    assert lib.swatch(key).steps == (DYE, IRON)
    assert lib.swatch(key).lot.startswith("12 (in the bin since")


ROWS = st.fixed_dictionaries(
    {"dyestuff": st.sampled_from(["weld", "madder", "none", "=cmd", "001"])},
    optional={
        "pH": st.floats(0, 14), "dye_owf": st.floats(1, 200), "minutes": st.floats(1, 600),
        "mordant": st.sampled_from(["alum", "none"]), "tannin": st.sampled_from(["gall", "none"]),
        "temperature_C": st.floats(0, 100), "modifier": st.sampled_from(["iron", "vinegar"]),
        "modifier_pH": st.floats(0, 14), "modifier_minutes": st.floats(1, 90),
        "wash_pH": st.floats(4, 9), "water": st.sampled_from(["soft", "rain"]),
        "dyestuff_2": st.sampled_from(["lac", "indigo"]), "vessel": st.just("steel"),
    },
)  # fmt: skip


@settings(max_examples=150)
@given(ROWS, ROWS, st.integers(0, 3))
def test_any_column_can_be_set_to_any_value_and_nothing_else_moves(row, other, notes):
    noted = [
        Step(s.kind, s.materials, note="kept" if i < notes else "", **_bath(s))
        for i, s in enumerate(steps_of(row))
    ]
    steps = tuple(noted)
    before = conditions_of(steps, {})
    for name, value in other.items():
        if name == "modifier_pH" and "modifier" not in before:
            continue
        _, after = with_value((), steps, {}, name, value)
        assert conditions_of(after, {}) == before | {name: value}
        kept = sum(s.note.count("kept") for s in after)
        assert kept == sum(s.note.count("kept") for s in steps)
        _, back = with_value((), after, {}, name, before.get(name))
        assert conditions_of(back, {}) == before


def _bath(step):
    from dataclasses import fields

    return {
        f.name: getattr(step, f.name)
        for f in fields(step)
        if f.name not in ("kind", "materials", "note")
    }


def test_what_was_typed_in_other_units_goes_with_the_value(lib):
    key = lib.add_swatch(fibre={"fibre": "wool", "fibre_g": 28.0}, typed={"fibre_g": "1 oz"})
    lib.edit(key, {"fibre_g": 30})
    assert "fibre_g" not in lib.swatch(key).typed
    lib.undo()
    assert dict(lib.swatch(key).typed) == {"fibre_g": "1 oz"}


def test_the_memory_holds_plain_json(lib):
    put(lib, "a")
    lib.edit("a", {"pH": 5})
    with lib.reading() as db:
        rows = db.execute("SELECT old, new, told FROM change_value").fetchall()
    assert all(json.loads(cell) is not ... for row in rows for cell in row)
