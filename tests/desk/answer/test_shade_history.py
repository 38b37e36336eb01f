"""The history of a shade as the desk puts it together: whether it drifts, since when, and leads."""

import numpy as np
import pytest

import swatchbath as sb
from shades_made import GOLD, photo_in, put_lot, reading
from swatchbath import desk
from swatchbath.colorimetry.difference import local_metric
from swatchbath.desk.answer.shade_history import shade_history
from swatchbath.desk.answer.spread import STARTING_SD, SpreadAnswer, spread

NORMAL = SpreadAnswer((), 0, 0, 0, STARTING_SD**2, 10)


@pytest.fixture
def lib(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        (code,) = put_lot(lib, "first", [GOLD], day="2026-01-01")
        desk.piece(lib, code, name="gold", within=4, lies="tin 3")
        yield lib


def judged(lib, labs, **how):
    """Put lots into the history, a day each; returns it."""
    piece = lib.kept_piece("gold")
    codes = list(piece.judged)
    start = len(codes)
    for k, lab in enumerate(labs, start=start):
        of = {n: v[k - start] if isinstance(v, list) else v for n, v in how.items()}
        codes += put_lot(lib, f"lot {k}", [lab], day=f"2026-02-{k + 1:02}", **of)
    return shade_history(lib, lib.change_kept_piece("gold", judged=codes), spread(lib))


def test_a_shade_that_holds_and_one_that_drifts(lib):
    rng = np.random.default_rng(2)
    held = judged(lib, GOLD + rng.normal(0, 0.6, (6, 3)))
    assert not held.drifts and held.words.startswith("The shade holds") and not held.leads
    gone = judged(lib, GOLD + [-9, 0, 0] + rng.normal(0, 0.6, (6, 3)), delivery="W31", minutes=45.0)
    assert gone.drifts and "darker" in gone.words and "mostly in depth" in gone.words
    assert "since lot " in gone.words and "lot lot" not in gone.words
    assert not any(lot.point.drifts for lot in gone.lots[:6])
    (lead,) = gone.leads
    assert "W31 instead of W25" in lead and "leads, not causes" in lead and "45" in lead
    assert gone.as_dict()["lots"][-1]["drifts"]


def test_few_lots_do_not_tell_a_drift(lib):
    assert judged(lib, []).words == ""
    assert "do" in judged(lib, [GOLD]).words and "not tell a drift yet" in judged(lib, []).words


def test_a_new_camera_begins_anew_unless_the_piece_lies_beside(lib, tmp_path):
    labs = [GOLD] * 6
    found = judged(lib, labs, camera=["a", "a", "a", "b", "b", "b"])
    assert [lot.point.first for lot in found.lots] == [True, False, False, True, False, False]
    kept = lib.kept_piece("gold").codes[0]
    for k, lot in enumerate(found.lots[3:]):
        photo = photo_in(lib, tmp_path, k)
        for code in (kept, lot.swatches[0].code):
            lib.add_measurement(code, reading(GOLD, "b", error=(6, 0, 0)), photo=photo)
    found = shade_history(lib, lib.kept_piece("gold"), spread(lib))
    assert [lot.point.first for lot in found.lots] == [True] + [False] * 5
    assert [lot.in_one_photo for lot in found.lots] == [False] * 3 + [True] * 3
    assert not found.drifts and abs(found.lots[-1].point.parts[0]) < 0.5


def test_lots_are_in_the_order_of_their_dye_days(lib):
    piece = lib.kept_piece("gold")
    codes = []
    for name, day in (("late", "2026-05-01"), ("early", "2026-03-01")):
        codes += put_lot(lib, name, [GOLD], day=day)
    lib.change_kept_piece("gold", judged=codes)
    piece = lib.kept_piece("gold")
    assert [lot.called for lot in shade_history(lib, piece, NORMAL).lots] == ["early", "late"]
    codes += put_lot(lib, "some day", [GOLD], day=None)
    piece = lib.change_kept_piece("gold", judged=codes)
    found = [lot.called for lot in shade_history(lib, piece, NORMAL).lots]
    assert found == ["late", "early", "some day"]
    lib.put_in_bin(codes[0])
    assert len(shade_history(lib, lib.kept_piece("gold"), NORMAL).lots) == 2


@pytest.mark.slow
@pytest.mark.parametrize("change", [False, True], ids=["one camera", "camera changed midway"])
def test_false_alarms_and_shifts_caught_through_the_desk(tmp_path, change):
    """Under 5 % false alarms in 20 lots and 80 % of shifts by 3 caught within 6 lots, with the
    kept piece beside every lot; of 60 histories 8 is the 99 % point of a binomial of 5 %."""
    alarms, caught = 0, 0
    with sb.Library(tmp_path / "lib", create=True) as lib:
        (kept,) = put_lot(lib, "first", [GOLD])
        desk.piece(lib, kept, name="gold")
        photos = [photo_in(lib, tmp_path, k) for k in range(20)]
        with lib.atomic():
            codes = [c for k in range(20) for c in put_lot(lib, f"lot {k}", [GOLD])]
        lib.change_kept_piece("gold", judged=codes)
        values = lib.swatches([kept, *codes])
    piece = values[0]
    back = np.linalg.inv(np.linalg.cholesky(local_metric(GOLD)))  # of one CIEDE2000, in Lab
    for seed in range(60):
        rng = np.random.default_rng(seed)
        cameras = {c: rng.normal(0, 1.5, 3) for c in "ab"}
        way = rng.normal(size=3)
        way *= 3 / np.linalg.norm(way)
        for shift in (0, 1):
            seen, lots = [], []
            for k, lot in enumerate(values[1:]):
                camera = "b" if change and k >= 10 else "a"
                off = cameras[camera] + rng.normal(0, 0.2, 3)
                true = GOLD + (rng.normal(0, STARTING_SD, 3) + shift * (k >= 8) * way) @ back
                one, other = (
                    reading(lab + rng.normal(0, 0.2, 3), camera, off).replace(photo=photos[k])
                    for lab in (GOLD, true)
                )
                seen.append(("dry", photos[k], one))
                lots.append(_with(lot, [("dry", photos[k], other)]))
            made = _Record([_with(piece, seen), *lots], piece.code, codes)
            found = shade_history(made, made.piece, NORMAL)
            alarm = [k for k, lot in enumerate(found.lots) if lot.point.drifts]
            if shift:
                caught += bool(alarm) and 8 <= alarm[0] < 14
            else:
                alarms += bool(alarm)
    assert alarms <= 8 and caught >= 0.8 * 60, (alarms, caught)


def _with(swatch, readings):
    from dataclasses import replace

    return replace(swatch, measurements=tuple(readings))


class _Record:
    """As much of a library as a history asks for."""

    def __init__(self, swatches, kept, judged):
        from swatchbath.library import KeptPiece

        self.by = {s.code: s for s in swatches}
        self.piece = KeptPiece(
            1, "gold", (kept,), GOLD, np.eye(3), 4.0, "", tuple(judged), "2026-01-01"
        )

    def codes(self):
        return list(self.by)

    def swatches(self, codes):
        return [self.by[c] for c in codes]
