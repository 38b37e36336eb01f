"""What she told is what stands: a library against a plain dictionary of what was told."""

import json
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

import swatchbath as sb
from swatchbath import desk

LINES = [
    (line, float(grams) if grams else None, json.loads(says))
    for file in ("reference/diary_lines.tsv", "bath/diary/own_lines.tsv")
    for row in (Path(__file__).parent.parent / file).read_text(encoding="utf-8").splitlines()
    if row.strip() and not row.startswith("#")
    for line, grams, says in [row.split("\t")]
]
# Lines that tell the weight of the fibre would all have to tell the same one in one pot.
PLAIN = [
    line
    for line, grams, says in LINES
    if not says.get("refuse") and grams is None and " g " not in line and " lb " not in line
]
PH = st.sampled_from([4.0, 5.5, 6.0, 7.5, 9.0])
treatments = st.lists(st.sampled_from(PLAIN), min_size=1, max_size=6)


def with_pH(steps, value):
    """What a new pH of the dye bath makes of the steps; None where there is no such bath."""
    for i, step in enumerate(steps):
        if step.kind == "dye" and not step.is_vat:
            if step.pH == value:
                return steps
            return [*steps[:i], replace(step, pH=value, typed=""), *steps[i + 1 :]]
    return None


class Told(RuleBasedStateMachine):
    """Every swatch's steps as they were told, and which lie in the bin; a library beside it."""

    @initialize()
    def begin(self):
        self.place = tempfile.TemporaryDirectory()
        self.folder = Path(self.place.name) / "0"
        self.moves = 0
        self.told = {}
        self.binned = set()
        self.back = []  # what undo does to the dictionary, last at the end

    def teardown(self):
        self.place.cleanup()

    def next_folder(self):
        self.moves += 1
        return Path(self.place.name) / str(self.moves)

    def lives(self):
        return sorted(set(self.told) - self.binned)

    @rule(lines=treatments, fibre=st.sampled_from(["wool", "linen", "silk"]))
    def pot(self, lines, fibre):
        code = desk.pot(self.folder, lines, fibres=[fibre]).codes[0]
        assert code not in self.told
        self.told[code] = [sb.read_step(line) for line in lines]
        self.back.append(lambda: self.binned.add(code))

    @precondition(lambda self: self.lives())
    @rule(data=st.data(), value=PH)
    def again(self, data, value):
        model = data.draw(st.sampled_from(self.lives()))
        wanted = with_pH(self.told[model], value)
        if wanted is None:
            return
        code = desk.pot(self.folder, like=model, changes=[f"pH={value}"]).codes[0]
        self.told[code] = wanted
        self.back.append(lambda: self.binned.add(code))

    @precondition(lambda self: self.lives())
    @rule(data=st.data(), value=PH)
    def edit(self, data, value):
        code = data.draw(st.sampled_from(self.lives()))
        before, wanted = self.told[code], with_pH(self.told[code], value)
        if wanted is None or wanted == before:
            return
        with sb.Library(self.folder) as lib:
            lib.edit(code, {"pH": value})
        self.told[code] = wanted
        self.back.append(lambda: self.told.update({code: before}))

    @precondition(lambda self: self.lives())
    @rule(data=st.data())
    def put_in_bin(self, data):
        code = data.draw(st.sampled_from(self.lives()))
        with sb.Library(self.folder) as lib:
            lib.put_in_bin(code)
        self.binned.add(code)
        self.back.append(lambda: self.binned.discard(code))

    @precondition(lambda self: self.binned)
    @rule(data=st.data())
    def take_out(self, data):
        code = data.draw(st.sampled_from(sorted(self.binned)))
        with sb.Library(self.folder) as lib:
            lib.take_out(code)
        self.binned.discard(code)
        self.back.append(lambda: self.binned.add(code))

    @precondition(lambda self: self.back)
    @rule()
    def undo(self):
        with sb.Library(self.folder) as lib:
            lib.undo()
        self.back.pop()()

    @precondition(lambda self: self.told)
    @rule()
    def export_and_take(self):
        out, again = self.next_folder(), self.next_folder()
        desk.export(self.folder, out)
        desk.take(again, out)
        self.folder = again

    @precondition(lambda self: self.told)
    @rule()
    def back_up_and_restore(self):
        kept, again = self.next_folder(), self.next_folder()
        kept.mkdir()
        with sb.Library(self.folder) as lib:
            desk.backup(lib, kept)
        desk.restore(next(kept.glob("*.zip")), again)
        self.folder = again

    @invariant()
    def all_is_as_it_was_told(self):
        if not getattr(self, "told", None):
            return
        with sb.Library(self.folder) as lib:
            assert set(lib.codes()) == set(self.told) - self.binned
            for code in lib.codes():
                swatch = lib.swatch(code)
                assert list(swatch.steps) == self.told[code]
                shown = desk.show(lib, code)["steps"]
                assert [s["told"] for s in shown] == [desk.line_of(s) for s in self.told[code]]


dose = settings(
    max_examples=8, stateful_step_count=12, deadline=None, suppress_health_check=list(HealthCheck)
)
TestWhatWasTold = Told.TestCase
TestWhatWasTold.settings = dose


@pytest.mark.slow
class TestLongRecords(Told.TestCase):
    settings = settings(dose, max_examples=150, stateful_step_count=40)
