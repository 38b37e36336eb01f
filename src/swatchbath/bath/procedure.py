"""A bath as a thing to do: scour, mordant, enter, raise, hold, cool, after-bath, rinse, dry.

What a record tells is hers; what it leaves open is filled in from common practice and says so. A
pH is told only with what brings it there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from .caps import cap
from .materials import family, given, is_a, is_silk, plain
from .step import Material, Step

# How an acid or an alkali goes in; common practice, no source.
_TO_PH = "to pH "
HOW_TO_PH = "by the spoon, stir, wait 5 minutes, test again"
# Between these a dye bath is what tap water and plants make it, and nothing is told of its pH;
# common practice, no source.
_SOURED_BELOW, _ALKALINE_ABOVE = 5.5, 7.5
_ACIDS, _ALKALIS = ("acid",), ("soda", "lye", "lime", "ammonia")
# What is at hand to sour or to make alkaline where she has used nothing yet; common practice, no
# source.
_USUAL_ACID, _USUAL_ALKALI = "vinegar", "washing soda"
# All of this is common practice, no source; times and heats where two guides or more agree.
_SCOUR = {
    "wool": "Scour: warm water, a little neutral soap, no stirring; let it warm and cool slowly.",
    "silk": "Scour: mild soap, 60 °C, 1 h.",
    "cellulose": "Scour: 4 % soda ash on the weight of fibre, simmer 1 h, rinse well.",
    "": "Scour it as that fibre bears it.",
}
_MORDANT_C = {"wool": 85.0, "silk": 70.0, "cellulose": 55.0, "": 55.0}
_MORDANT_MINUTES = 60.0
_REST = {"wool": "Let it cool in the mordant and rest overnight.",
         "silk": "Let it cool in the mordant and rest overnight.",
         "cellulose": "Let it cool and rinse it lightly.", "": "Let it cool."}  # fmt: skip
_CHALK = "Fix it in 5 % chalk, lukewarm, 15 minutes."
_ENTER = "Enter the wetted fibre lukewarm, leave it 15 minutes, raise the heat over 1 h."
_ENTER_COLD = "Enter the wetted fibre and turn it now and then."
_HOLD_MINUTES = 60.0
_HOLD_C = {"wool": 85.0, "silk": 75.0, "cellulose": 80.0, "": 80.0}
_COOL = "Let it cool in the bath."
_END = "Rinse in water of its own warmth until that runs clear, and dry it in the shade."


@dataclass(frozen=True)
class Move:
    """One thing to do: its kind, in words, and whether it is hers or common practice."""

    kind: str
    words: str
    hers: bool


def as_done(steps: Sequence[Step], used: Iterable[str] = ()) -> list[Step]:
    """The steps of a suggested bath with each pH as what brings it there, or without one.

    used : acids and alkalis she has used before, as she calls them, the usual one first.
    """
    done = [_brought(step, tuple(used)) for step in steps]
    bare = [replace(s, typed="") == Step(s.kind) for s in done]
    return [s for s, nothing in zip(done, bare, strict=True) if not nothing]


def brought_to(step: Step) -> float | None:
    """The pH that something in a step of `as_done` brings it to; None where nothing does."""
    told = [m.told for m in step.materials if (m.told or "").startswith(_TO_PH)]
    return float(told[0].removeprefix(_TO_PH)) if told and told[0] else None


def _brought(step: Step, used: Sequence[str]) -> Step:
    if step.pH is None or step.is_vat:
        return step
    kinds = _ACIDS if step.pH < 7 else _ALKALIS
    told = f"{_TO_PH}{step.pH:g}"
    there = [m for m in step.materials if any(is_a(m.name, k) for k in kinds)]
    if there:
        first = there[0]
        # One that is weighed is weighed, and the pH comes of that.
        with_pH = first if first.owf else replace(first, told=told)
        materials = tuple(with_pH if m is first else m for m in step.materials)
        return replace(step, materials=materials, pH=None, pH_read=None)
    bare = replace(step, pH=None, pH_read=None)
    if step.kind != "dye" or _SOURED_BELOW <= step.pH <= _ALKALINE_ABOVE:
        return bare
    # Never lye, lime or ammonia, which she may have used for another fibre.
    usual, mild = (_USUAL_ACID, "acid") if step.pH < 7 else (_USUAL_ALKALI, "soda")
    name = next((w for w in used if is_a(w, mild)), usual)
    return replace(bare, materials=(*step.materials, Material("assist", name, told=told)))


def procedure(
    steps: Sequence[Step], fibre: str | None, like: Sequence[Step] = ()
) -> tuple[Move, ...]:
    """The moves of a suggested bath in order; amounts and dyestuffs are told apart.

    steps : of the suggestion, as `as_done` gives. like : the steps of her nearest pot, by which a
    heat, a time, a scour or a way of rinsing is hers.
    """
    kind = _kind(fibre)
    moves = [_scour(steps, like, kind)]
    for step in steps:
        if step.kind == "mordant" and any(given(m.name) for m in step.materials):
            moves += _mordant(step, like, kind)
        elif step.kind == "dye":
            moves += _dye(step, kind)
        elif step.kind == "after-bath" and any(given(m.name) for m in step.materials):
            moves.append(_after(step))
    said = "; ".join(s.typed for s in like if s.kind in ("rinse", "wash", "dry") and s.typed)
    moves.append(Move("finish", f"Then {said}." if said else _END, bool(said)))
    return tuple(moves)


def _kind(fibre: str | None) -> str:
    if is_silk(fibre):
        return "silk"
    return {"protein": "wool", "cellulose": "cellulose"}.get(family(fibre), "")


def _scour(steps: Sequence[Step], like: Sequence[Step], kind: str) -> Move:
    hers = next((s for s in (*like, *steps) if s.kind == "scour"), None)
    if hers is None:
        return Move("scour", _SCOUR[kind], False)
    names = " and ".join(m.name for m in hers.materials if given(m.name))
    if not names and hers.materials:
        return Move("scour", "No scour.", True)
    return Move("scour", hers.typed or _joined(["Scour with " + names if names else "Scour",
                                                *_facts(hers)]), True)  # fmt: skip


def _mordant(step: Step, like: Sequence[Step], kind: str) -> list[Move]:
    names = {m.name for m in step.materials}
    same = [s for s in like if s.kind == "mordant" and names & {m.name for m in s.materials}]
    told = next((s for s in (step, *same) if _facts(s)), None)
    what = "Tannin" if all(m.role == "tannin" for m in step.materials) else "Mordant"
    if told is None:
        usual = Step("mordant", temperature_C=_MORDANT_C[kind], minutes=_MORDANT_MINUTES)
        moves = [Move("mordant", _joined([f"{what}: raise slowly", *_facts(usual)]), False)]
    else:
        moves = [Move("mordant", _joined([what, *_facts(told)]), True)]
    acetate = any("acetate" in n for n in names)
    moves.append(Move("rest", _CHALK if acetate and kind == "cellulose" else _REST[kind], False))
    return moves


def _dye(step: Step, kind: str) -> list[Move]:
    if step.is_vat:
        return [Move("dye", _joined(["Dip, and air it between the dips", *_facts(step)]), True)]
    cold = step.temperature_C is not None and step.temperature_C <= cap("hot")
    moves = [Move("enter", _ENTER_COLD if cold else _ENTER, False)]
    heat = _HOLD_C[kind]
    if any("madder" in plain(m.name) for m in step.materials):
        heat = min(heat, cap("heat for madder"))
    usual = Step("dye", temperature_C=heat, minutes=_HOLD_MINUTES)
    hers = step.temperature_C is not None and step.minutes is not None
    full = replace(
        step,
        temperature_C=usual.temperature_C if step.temperature_C is None else step.temperature_C,
        minutes=usual.minutes if step.minutes is None else step.minutes,
    )
    moves.append(Move("hold", _joined(["Hold", *_facts(full)]), hers))
    if not cold:
        moves.append(Move("cool", _COOL, False))
    return moves


def _after(step: Step) -> Move:
    names = " and ".join(m.name for m in step.materials if given(m.name))
    return Move("after-bath", _joined([f"After-bath of {names}", *_facts(step)]), True)


def _facts(step: Step) -> list[str]:
    heat = "" if step.temperature_C is None else f"{step.temperature_C:g} °C"
    time = "" if step.minutes is None else f"{step.minutes:g} min"
    dips = "" if step.dips is None else f"{step.dips:g} dips"
    return [fact for fact in (dips, heat, time) if fact]


def _joined(parts: Sequence[str]) -> str:
    return ", ".join(parts) + "."


def acids_and_alkalis(baths: Iterable[Mapping[str, Any]]) -> list[str]:
    """What she has brought a pH about with, as she calls it, the most used first."""
    count: dict[str, int] = {}
    for bath in baths:
        for name, word in bath.items():
            if name.startswith(("assist", "modifier")) and isinstance(word, str):
                if any(is_a(word, k) for k in (*_ACIDS, *_ALKALIS)):
                    count[word] = count.get(word, 0) + 1
    return sorted(count, key=lambda w: (-count[w], w))
