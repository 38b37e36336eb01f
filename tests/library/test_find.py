"""What finding keeps for speed never says anything else than the records do."""

import random

import numpy as np
import pytest

from library_made import DYE, IRON, reading
from swatchbath.colorimetry import Measurement, delta_e2000
from swatchbath.colorimetry.conversion import to_d65_2
from swatchbath.errors import SwatchbathError
from swatchbath.library import Library
from swatchbath.library.rows import search_index as said

WORDS = ("weld", "lac", "iron", "alum", "silk", "wool", "12", "x", "to be photographed", "yellow")


def by_reading_all(lib, lab=None, text=""):
    """What `find` must find, from the records themselves."""
    found = []
    for code in lib.codes():
        swatch = lib.swatch(code)
        told = " ".join(
            [code, swatch.name or "", swatch.lot or "", swatch.session or "",
             *(str(v) for v in swatch.conditions.values()), *(s.note for s in swatch.steps)]
        ).casefold()  # fmt: skip
        colour = lib.find(text=code)[0][1].words  # words of the colour, as shown
        if all(w in f"{told} {colour}" for w in text.split()):
            found.append(swatch)
    if lab is None:
        return [s.code for s in reversed(found)]
    dry = [s for s in found if s.measured is not None]
    far = [float(delta_e2000(to_d65_2(s.measured).lab, lab)) for s in dry]
    return [s.code for _, s in sorted(zip(far, dry, strict=True), key=lambda f: (f[0], f[1].code))]


def act(lib, chance, number):
    """One of all the ways in which a library is changed."""
    codes = lib.codes()
    some = chance.choice(codes) if codes else None
    lab = [chance.uniform(20, 90), chance.uniform(-20, 40), chance.uniform(-10, 70)]
    light = chance.choice([("D65", "2"), ("D65", "10"), ("D50", "2")])
    read = Measurement(lab, np.eye(3), light=light[0], observer=light[1])
    acts = [
        lambda: lib.add_swatch(
            name=f"n{number}", lot=chance.choice([lib.add_lot([DYE], name="12"), None]),
            steps=[IRON] if number % 2 else [], fibre={"fibre": chance.choice(["wool", "silk"])},
        ),
        lambda: lib.add_measurement(some, read, state=chance.choice(["dry", "wet"])),
        lambda: lib.edit(some, {"dyestuff": chance.choice(["weld", "lac"])}),
        lambda: lib.edit(some, {"mordant": chance.choice(["alum", ""])}),
        lambda: lib.edit(some, {"session": chance.choice(["x", "y"])}),
        lambda: lib.edit(some, {"lot": chance.choice(["", "13"])}),
        lambda: lib.edit_state(some, 1, chance.choice(["wet", "dry washed"])),
        lambda: lib.put_in_bin(some),
        lambda: lib.put_in_bin(some, reading=1),
        lambda: lib.take_out(lib.in_bin()[0].code, reading=lib.in_bin()[0].reading),
        lib.undo,
        lib.empty_bin if number % 7 == 0 else lib.undo,
    ]  # fmt: skip
    try:
        chance.choice(acts)()
    except (SwatchbathError, IndexError):
        pass  # nothing to do it to


@pytest.mark.parametrize("seed", range(6))
def test_after_any_changes_it_finds_what_the_records_say(tmp_path, seed):
    chance = random.Random(seed)
    with Library(tmp_path / "house", create=True) as lib:
        for number in range(60):
            act(lib, chance, number)
            if number % 5 == 4:
                for text in (*WORDS, "weld silk"):
                    found = [s.code for s, _ in lib.find(text=text, k=500)]
                    assert found == by_reading_all(lib, text=text), text
                found = [s.code for s, _ in lib.find(lab=[60, 10, 30], k=500)]
                assert found == by_reading_all(lib, lab=[60, 10, 30])
                both = [s.code for s, _ in lib.find(lab=[60, 10, 30], text="weld", k=500)]
                assert both == by_reading_all(lib, lab=[60, 10, 30], text="weld")


def test_words_told_in_an_older_way_are_made_again(tmp_path, monkeypatch):
    with Library(tmp_path / "house", create=True) as lib:
        key = lib.add_swatch(name="a", steps=[DYE])
        lib.add_measurement(key, reading())
        monkeypatch.setattr(said, "_words", lambda swatch, colour: "told otherwise")
        assert lib.find(text="otherwise") == []
        monkeypatch.setattr(said, "MADE", 99)
        assert [s.code for s, _ in lib.find(text="otherwise")] == [key]


def test_what_was_written_since_is_found_and_what_was_taken_back_is_not(tmp_path):
    with Library(tmp_path / "lib", create=True) as lib, Library(tmp_path / "lib") as other:

        def put(where, lab):
            code = where.add_swatch(fibre={"fibre": "wool"})
            where.add_measurement(code, Measurement(lab))
            return code

        def nearest(where, k=1):
            return [s.code for s, _ in where.find(lab=[50, 0, 0], k=k)]

        first = put(lib, [58, 0, 0])
        assert nearest(lib) == nearest(lib) == nearest(other) == [first]
        second = put(lib, [54, 0, 0])
        assert nearest(lib) == nearest(other) == [second]
        third = put(other, [52, 0, 0])
        assert nearest(lib) == nearest(other) == [third]
        with pytest.raises(RuntimeError), lib.atomic():
            fourth = put(lib, [50, 0, 0])
            assert nearest(lib) == [fourth]
            raise RuntimeError
        assert nearest(lib) == [third]
        lib.put_in_bin(third)
        assert nearest(lib) == nearest(other) == [second]
        twin = put(lib, [54, 0, 0])
        assert nearest(lib, 2) == sorted([second, twin])


@pytest.mark.parametrize("k", [1, 7, 300])
def test_the_nearest_are_those_of_all_by_brute_force(tmp_path, k):
    rng = np.random.default_rng(k)
    with Library(tmp_path / "lib", create=True) as lib, lib.atomic():
        labs = {}
        for lab in rng.uniform([0, -60, -60], [100, 60, 60], (300, 3)).round(1):
            code = lib.add_swatch(fibre={"fibre": "wool"})
            lib.add_measurement(code, Measurement(lab))
            labs[code] = lab
    with Library(tmp_path / "lib") as lib:
        for wanted in ([50, 0, 0], [0, 0, 0], [100, 60, -60], [30, 20, -45]):
            far = {c: float(delta_e2000(lab, np.array(wanted, float))) for c, lab in labs.items()}
            brute = sorted(labs, key=lambda c: (far[c], c))[:k]
            assert [s.code for s, _ in lib.find(lab=wanted, k=k)] == brute
