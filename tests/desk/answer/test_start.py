"""What waits: counts as the list of `waiting` has them, pots that are on, lots to judge."""

from datetime import date, timedelta

import pytest

import swatchbath as sb
from library_made import reading
from swatchbath import desk

STEPS = ["mordant: alum 12 %", "dye: weld 80 %, 80 C, 1 h"]


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "lib"


def start(folder, **how):
    with sb.Library(folder) as lib:
        return desk.start(lib, **how)


def test_nothing_waits_in_an_empty_library(folder):
    sb.Library(folder, create=True).close()
    found = start(folder)
    assert found.swatches == 0 and not found.pots and not found.waits and not found.backup


def test_a_pot_is_on_until_it_is_rinsed_read_or_a_week_old(folder):
    done = desk.pot(folder, STEPS, fibres=["wool", "silk"], after=["none", "iron 2 %, 10 min"])
    codes = [p.code for p in done.pieces]
    (pot,) = start(folder).pots
    assert pot.lot == done.lot and [code for code, _ in pot.pieces] == codes
    assert dict(pot.pieces)[codes[1]] == "wool, iron"
    # Of every part, whichever it is: iron for one, silk for the other.
    assert any("iron salts" in line for line in pot.care.full)
    assert any("silk" in line for line in pot.care.full)
    assert not start(folder).waits  # what is in the pot does not wait for its photo
    assert not start(folder, today=date.today() + timedelta(days=9)).pots
    with sb.Library(folder) as lib:
        lib.add_measurement(codes[0], reading())
    assert [code for code, _ in start(folder).pots[0].pieces] == codes[1:]
    desk.pot(folder, ["rinse"], codes=codes[1:])
    assert not start(folder).pots
    assert start(folder).waits == (("to be photographed", "3 swatches to photograph when dry"),)


def test_what_is_dyed_again_after_a_rinse_is_on_again(folder):
    code = desk.pot(folder, [*STEPS, "rinse"], fibres=["wool"]).pieces[0].code
    assert not start(folder).pots
    desk.pot(folder, ["dye: madder 30 %, 60 C"], codes=[code])
    assert start(folder).pots


def test_what_waits_is_what_waiting_lists(folder):
    sb.Library(folder, create=True).close()
    with sb.Library(folder) as lib:
        desk.codes(lib, 2)
        lib.add_measurement(lib.add_swatch(), reading())
        lib.add_measurement(lib.add_swatch(fibre={"fibre": "wool"}), reading(), state="wet")
    listed = {what: len(found) for what, found in desk.waiting(folder)["waiting"].items()}
    told = {what: int(words.split()[0]) for what, words in start(folder).waits}
    assert told == listed and len(told) == 3


def dyed(folder, line, lot):
    """A dry swatch of a lot."""
    code = desk.pot(folder, [STEPS[0], line, "rinse"], fibres=["wool"], lot=lot).pieces[0].code
    with sb.Library(folder) as lib:
        lib.add_measurement(code, reading())
    return code


def test_a_later_lot_of_a_kept_shades_recipe_is_to_judge_until_it_is(folder):
    dyed(folder, STEPS[1], "30")
    with sb.Library(folder) as lib:
        desk.piece(lib, "30", name="gold", lies="tin 3")
    assert not start(folder).to_judge
    dyed(folder, "dye: weld 40 %, 80 C, 1 h", "31")  # half as strong: another recipe
    dyed(folder, "dye: madder 80 %, 80 C, 1 h", "32")
    assert not start(folder).to_judge
    dyed(folder, STEPS[1], "33")
    assert start(folder).to_judge == (("gold", "33"),)
    with sb.Library(folder) as lib:
        desk.judge(lib, "gold", "33")
    assert not start(folder).to_judge


def test_a_backup_is_asked_for_where_one_is_due(folder, tmp_path, monkeypatch):
    dyed(folder, STEPS[1], "30")
    assert start(folder).backup == ""
    from swatchbath.library.safety import backup

    (tmp_path / "stick").mkdir()
    now = backup.now()
    monkeypatch.setattr(backup, "now", lambda: now + timedelta(days=10))
    assert start(folder).backup == "There is no backup yet"
    monkeypatch.setattr(backup, "now", lambda: now)
    with sb.Library(folder) as lib:
        desk.backup(lib, tmp_path / "stick")
        monkeypatch.setattr(backup, "now", lambda: now + timedelta(days=36))
        assert desk.backup_state(lib).days == 36
    assert start(folder).backup == "The last backup is 5 weeks old"
