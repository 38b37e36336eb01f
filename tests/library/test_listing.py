"""Every swatch in a line: the same as read one by one, and never an old line for a new record."""

import pytest

import swatchbath as sb
from library_made import reading
from swatchbath import desk
from swatchbath.desk.text.wording import waits_for, waits_of


@pytest.fixture
def library(tmp_path):
    with sb.Library(tmp_path / "house", create=True) as lib:
        desk.record_sample(lib)
        lib.add_swatch(name="bare")
        yield lib


def test_a_line_tells_what_the_swatch_tells(library):
    lines = {s.code: s for s in library.listed()}
    assert list(lines) == library.codes()
    for code, line in lines.items():
        swatch = library.swatch(code)
        for name in ("name", "lot", "part", "session", "added", "has_bath"):
            assert getattr(line, name) == getattr(swatch, name), name
        assert line.kinds == tuple(step.kind for step in swatch.steps)
        for role, names in (("dyestuff", line.plants), ("modifier", line.afters)):
            its = [m.name for s in swatch.steps for m in s.materials if m.role == role]
            assert list(names) == [n for n in its if n != "none"]
        if swatch.measured is None:
            assert line.lab is None
        else:
            assert line.lab == pytest.approx(swatch.measured.lab)
        told = waits_for(line.has_bath, line.shown, read=line.read, dry=line.lab is not None)
        assert told == waits_of(swatch)


def test_every_write_is_seen_at_once_here_and_in_another_opening(library):
    def seen(of=library):
        return {s.code: s for s in of.listed()}

    code = library.codes()[0]
    seen()
    library.put_in_bin(code)
    assert code not in seen()
    library.take_out(code)
    assert code in seen()
    with sb.Library(library.folder) as other:
        other.edit(code, {"fibre": "silk"})
        assert seen(other)[code].fibre == "silk"
    assert seen()[code].fibre == "silk"
    new = library.add_swatch(name="new")
    assert seen()[new].lab is None
    library.add_measurement(new, reading())
    assert seen()[new].lab is not None
    library.undo()
    assert seen()[new].lab is None


def test_words_are_found_by_code(library):
    assert library.telling("weld iron") == [s.code for s, _ in library.find("weld iron", k=500)]
    assert set(library.telling("")) == set(library.codes())
