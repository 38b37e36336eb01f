""" "Like this but": a shade a step from a swatch, and what to change of its bath, one thing only.

What a change does is the difference of what the model expects of the bath with and without it; the
swatch's own colour, which is known, is moved by that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ...bath.caps import breaks_caps
from ...bath.enough import enough_of
from ...bath.materials import dyestuffs, given, in_a_vat, is_a, number
from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.measurement import Measurement
from ...errors import BadValue, NotFound
from ...library import Library, Swatch
from ...predict.search.columns import base_of
from ...predict.shades import Shades
from ..text.parse import Target, parse_target
from ..text.wording import plain
from .dyeings import cautions_of, expectation

# How far one step goes (CIEDE2000): clearly different beside it, and what one change of a bath can
# do. A flag given twice doubles it. Our own choice.
_STEP = 5.0
DIRECTIONS = (
    "lighter", "darker", "redder", "greener", "yellower", "bluer", "clearer", "greyer",
)  # fmt: skip
_OPPOSITE = (("lighter", "darker"), ("redder", "greener"), ("yellower", "bluer"),
             ("clearer", "greyer"))  # fmt: skip
_MOST_STEPS = 3
# What is tried of an amount, and in words.
_FACTORS = (
    (0.25, "a quarter of the {}"),
    (0.5, "half the {}"),
    (2 / 3, "a third less {}"),
    (1.5, "half as much {} again"),
    (2.0, "twice the {}"),
)
# Added after where there was nothing after: the word, its amount or its pH, and how it is said.
# Common practice, no source.
_AFTER: tuple[tuple[str, dict[str, float], str], ...] = (
    ("iron", {"modifier_owf": 0.5}, "a pinch of iron after (0.5 %)"),
    ("iron", {"modifier_owf": 1.0}, "a little iron after (1 %)"),
    ("iron", {"modifier_owf": 2.0}, "iron after (2 %)"),
    ("soda", {"modifier_pH": 8.5}, "a weak after-bath of soda, to pH 8.5"),
    ("vinegar", {"modifier_pH": 4.5}, "an after-bath of vinegar, to pH 4.5"),
)
_AFTER_MINUTES = 10.0
# A change must go at least so large a share of the way, and end no further off than so many times
# the step, or it is not told: iron greys and also darkens, and is the way to grey all the same. How
# many are told. Our own choices.
_LEAST_WAY, _MOST_OFF, _TOLD = 0.3, 1.7, 3


@dataclass(frozen=True)
class Directed:
    """What to change from a swatch's bath. code, name : of the swatch; asked : in words; note : why
    nothing is told, else "". changes : as `expectation` tells them, with cautions and reasons."""

    code: str | None = None
    asked: str = ""
    note: str = ""
    changes: tuple[dict[str, Any], ...] = ()
    name: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "code": self.code,
            "name": self.name,
            "asked": self.asked,
            "note": self.note,
            "changes": list(self.changes),
        }


def asked_words(steps: Mapping[str, int]) -> str:
    """The directions in words: "lighter and much bluer"."""
    return " and ".join(("much " if n > 1 else "") + d for d, n in steps.items() if n)


def directed_target(target: Target, steps: Mapping[str, int]) -> Target:
    """The shade that lies so many steps in each direction from a swatch. Raises BadValue where no
    swatch was named, or two directions undo each other."""
    if target.code is None:
        raise BadValue(
            "Lighter, redder and the like are told from one of your swatches; name its code, as "
            "in swatchbath suggest 22a --lighter."
        )
    unknown = [d for d in steps if d not in DIRECTIONS]
    if unknown:
        raise NotFound(f"There is no direction '{unknown[0]}'; use {', '.join(DIRECTIONS)}.")
    for one, other in _OPPOSITE:
        if steps.get(one) and steps.get(other):
            raise BadValue(f"{one.capitalize()} and {other} undo each other; leave one out.")
    lab = moved(target.lab, steps)
    value = target.value
    if isinstance(value, Measurement):  # what it shares with the record stays
        m = to_d65_2(value)
        value = Measurement(
            lab, m.repeatability, degrees=m.degrees, rung=m.rung, trueness=m.trueness,
            shared=m.shared, photo=m.photo, checks=m.checks, notes=m.notes,
        )  # fmt: skip
    else:
        value = lab
    called = f"{target.called}, but {asked_words(steps)}"
    return replace(target, value=value, lab=lab, called=called, code=None, name=None)


def moved(lab: Array, steps: Mapping[str, int]) -> Array:
    """Lab (3,) so many steps in each direction: within L* 0 to 100, chroma not under 0."""
    start = np.array(lab, dtype=float)
    out = start.copy()
    for name in DIRECTIONS:
        if count := min(int(steps.get(name, 0)), _MOST_STEPS):
            way = _way(start, name)
            far = count * _length(start, way)
            if name == "greyer":  # past grey there is none greyer
                far = min(far, float(np.hypot(start[1], start[2])))
            out += far * way
    out[0] = np.clip(out[0], 0.0, 100.0)
    return out


def _way(lab: Array, name: str) -> Array:
    """The direction of a word in Lab, of length 1."""
    axes = {"lighter": (0, 1), "darker": (0, -1), "redder": (1, 1), "greener": (1, -1),
            "yellower": (2, 1), "bluer": (2, -1)}  # fmt: skip
    way = np.zeros(3)
    if name in axes:
        axis, sign = axes[name]
        way[axis] = sign
    else:
        chroma = float(np.hypot(lab[1], lab[2]))
        way[1:] = lab[1:] / max(chroma, 1e-9) * (1 if name == "clearer" else -1)
    return way


def _length(lab: Array, way: Array) -> float:
    """How far (in Lab) one step goes that way: a whole step of CIEDE2000, or as far as there is
    any."""
    far = np.linspace(0.0, 60.0, 601)
    away = delta_e2000(lab + far[:, None] * way, lab)
    enough = np.flatnonzero(away >= _STEP)
    return float(far[enough[0]]) if enough.size else float(far[int(np.argmax(away))])


def changes_from(swatch: Swatch, model: Shades, target: Target, asked: str) -> Directed:
    """What to change of a swatch's bath to come nearer to a shade, the best first."""
    reading = swatch.measured
    bath = plain(swatch.conditions)
    known = {n: v for n, v in bath.items() if n in model.fit_.table}
    begin = Directed(swatch.code, asked, name=swatch.name)
    if reading is None or not {"fibre", "dyestuff"} <= known.keys():
        return replace(begin, note=f"Nothing is told of the bath of {swatch.code} yet.")
    if in_a_vat(bath):
        return replace(
            begin, note=f"{swatch.code} was dipped in a vat; what a dip more or fewer does stands "
            "with the vat swatches.",
        )  # fmt: skip
    tried = [
        (kind, words, changed)
        for kind, words, changed in _changes(known)
        if not breaks_caps(changed, browns=True)
    ]
    if not tried:
        return replace(begin, note=f"No amount, heat or time of {swatch.code} is on record.")
    # The columns of the two must be the same, or a missing one is taken to be as usual.
    found = model.predict([known, *(c for _, _, c in tried)])
    own = to_d65_2(reading).lab
    shades = own + (found.lab[1:] - found.lab[0])
    before = float(delta_e2000(own, target.lab))
    away = np.asarray(delta_e2000(shades, target.lab))
    way = target.lab - own
    share = (found.lab[1:] - found.lab[0]) @ way / max(float(way @ way), 1e-9)
    told: dict[str, dict[str, Any]] = {}
    for i in np.argsort(away, kind="stable").tolist():
        kind, words, changed = tried[i]
        if away[i] > _MOST_OFF * before or len(told) == _TOLD:
            break
        if kind in told or share[i] < _LEAST_WAY:
            continue
        wide = found.pot_covariance[i + 1]
        line = f"From {swatch.code}: {words}."
        new = [r for r in found.reasons[i + 1] if r not in found.reasons[0]]
        told[kind] = expectation(line, shades[i], target.lab, wide, [swatch.code]) | {
            "conditions": changed,
            "reasons": new,
            **cautions_of(changed),
        }
    if told:
        return replace(begin, changes=tuple(told.values()))
    return replace(begin, note=f"No single change of {swatch.code} is expected to go that way.")


def _changes(bath: Mapping[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every change of one thing: what kind it is, in words, and the changed bath."""
    for name, word in _amounts(bath):
        for factor, words in _FACTORS:
            amount = round(float(bath[name]) * factor, 1)
            forms = [str(bath.get(name.replace("dye_owf", "dyestuff_form"), ""))]
            if amount > max(enough_of(base_of(name), word, forms), bath[name]):
                continue
            to = f" ({amount:g} %, not {bath[name]:g})"
            yield name, words.format(word) + to, {**bath, name: amount}
    minutes, heat, pH = (number(bath, n) for n in ("minutes", "temperature_C", "pH"))
    for factor, words in ((0.5, "half the time"), (2.0, "twice the time")):
        if minutes == minutes:
            time = round(minutes * factor / 5) * 5.0 or 5.0
            yield "minutes", f"{words} ({time:g} minutes)", {**bath, "minutes": time}
    for step in (-20.0, -10.0, 10.0, 20.0):
        if heat == heat:
            warm = heat + step
            yield "heat", f"at {warm:g} °C, not {heat:g}", {**bath, "temperature_C": warm}
    for step in (-1.0, 1.0):
        if pH == pH:
            sour = pH + step
            yield "pH", f"the dye bath at pH {sour:g}, not {pH:g}", {**bath, "pH": sour}
    if not given(bath.get("modifier")):
        for word, more, words in _AFTER:
            if not (word == "iron" and is_a(bath.get("mordant"), "iron")):
                after = {"modifier": word, "modifier_minutes": _AFTER_MINUTES, **more}
                yield word, words, _without_after(bath) | after
    elif not given(bath.get("modifier_2")):
        yield (
            "after",
            f"without the {bath['modifier']} after",
            _without_after(bath) | {"modifier": "none"},
        )
    if not number(bath, "bath_number") > 1:
        words = "the second bath, in the same liquor"
        yield "second bath", words, {**bath, "bath_number": 2.0}


def _without_after(bath: Mapping[str, Any]) -> dict[str, Any]:
    return {n: v for n, v in bath.items() if not n.startswith("modifier")}


def _amounts(bath: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """The amount columns of a bath that a dyer would change, and what they are of."""
    for slot in ("", "_2", "_3"):
        if number(bath, f"dye_owf{slot}") > 0 and len(dyestuffs(bath)) > bool(slot):
            yield f"dye_owf{slot}", str(bath[f"dyestuff{slot}"])
    if given(bath.get("modifier")) and number(bath, "modifier_owf") > 0:
        yield "modifier_owf", str(bath["modifier"])


def steps_from(library: Library, key: str) -> list[dict[str, Any]]:
    """One step from a swatch in each direction: its name, the colour it leads to, and whether a dry
    reading on record lies nearer to that than the swatch itself does. Raises NotFound, BadValue."""
    target = parse_target(key, library)
    out = []
    for direction in DIRECTIONS:
        lab = directed_target(target, {direction: 1}).lab
        if delta_e2000(lab, target.lab) < _STEP / 2:  # nothing lies that way
            continue
        found = library.find(lab=lab, k=3)
        near = [f.delta_e2000 or 0.0 for s, f in found if s.code != target.code]
        out.append(
            {
                "direction": direction,
                "lab": lab.tolist(),
                "reached": bool(near) and min(near) < _STEP,
            }
        )
    return out
