"""A bath in a dyer's words, told from its steps, in the order they were done."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ...bath.step import Material, Step
from ...bath.steps import steps_of
from .wording import fibre_words, plain

# What a bath in one line leaves out, because it seldom tells two baths apart.
_SELDOM = ("scour", "rinse", "wash", "dry")
_HEAT = {
    "boil": "at the boil", "simmer": "at a simmer", "room temperature": "at room temperature",
    "cold": "cold", "sun": "in the sun",
}  # fmt: skip


def bath_words(
    conditions: Mapping[str, Any], steps: Sequence[Step] | None = None, *, brief: bool = False
) -> list[str]:
    """A bath in words, one line a treatment, in the order it is done.

    conditions : its columns; of a bath on record only those of the fibre are read, and its steps
    tell the rest. brief : without scouring, rinses, water, vessel and the like.
    """
    c = plain(conditions)
    told = list(steps_of(c) if steps is None else steps)
    fibre = fibre_words({"fibre": "fibre"} | c)
    if "fibre_g" in c and not brief:
        fibre = f"{c['fibre_g']:g} g of {fibre}"
    lines: list[str] = []
    mordanted = any(s.kind == "mordant" and _there(s) and not _only_tannin(s) for s in told)
    if not mordanted:
        mordants = [m.name.casefold() for s in told for m in s.materials if m.role == "mordant"]
        how = ", mordant not recorded"
        if mordants:  # one that went into the dye bath is told there
            how = ", without a mordant" if "none" in mordants else ""
        lines.append(f"Take {fibre}{how}.")
    dyed = fibre_told = False
    for step in told:
        if brief and step.kind in _SELDOM:
            continue
        on = f" {fibre}" if mordanted and not fibre_told else ""
        line = _line(step, on, dyed, brief)
        fibre_told |= bool(on and on in line)
        dyed |= step.kind == "dye"
        if line:
            lines.append(line)
    return lines


def _only_tannin(step: Step) -> bool:
    return all(m.role == "tannin" for m in _there(step))


def _there(step: Step) -> list[Material]:
    return [m for m in step.materials if m.name.casefold() != "none"]


def _line(step: Step, on: str, dyed: bool, brief: bool) -> str:
    """One treatment; empty where there was none of it. on : the fibre, where it is not yet told."""
    there = _there(step)
    if step.materials and not there:
        return {"scour": "Not scoured.", "dye": "Not dyed."}.get(step.kind, "")
    names = _and([_material(m, brief) for m in there])
    if step.kind == "dye":
        if step.is_vat:
            begin = (
                f"{'Dip over' if dyed else 'Dip'} in a vat of {names or 'a dyestuff not recorded'}"
            )
        else:
            words = names or "a dyestuff that is not recorded"
            begin = f"{'Dye over' if dyed else 'Dye'} with {words}"
    elif step.kind == "mordant":
        begin = f"Mordant{on}" + (f" with {names}" if names else "")
        if there and _only_tannin(step):
            begin = "Tannin: " + _and([_amount_after(m) for m in there])
    elif step.kind == "after-bath":
        begin = "After-bath of " + names if names else "After-bath"
    else:
        begin = step.kind.capitalize() + (on if step.kind == "scour" else "")
        begin += f" with {names}" if names else ""
        if step.kind in ("rinse", "wash") and step.pH is not None and not names:
            return _joined([f"{begin} at pH {step.pH:g}", *_facts(step, brief)[1:]])
    return _joined([begin, *_facts(step, brief)])


def _facts(step: Step, brief: bool) -> list[str]:
    """What is told of a bath beside what was in it, acidity first."""
    read = f" by {step.pH_read}" if step.pH_read and not brief else ""
    acid = "" if step.pH is None else f"pH {step.pH:g}{read}"
    if step.pH_end is not None:
        acid = f"{acid}, at the end {step.pH_end:g}" if acid else f"pH {step.pH_end:g} at the end"
    number = step.bath_number
    used = f"bath number {number:g}" if number is not None and number > 1 else ""
    used += f" of pot {step.pot}" if step.pot else ""
    facts = [acid, *_vat(step), _heat(step), _time(step)]
    if brief:
        return [*facts, used]
    return [
        *facts,
        "" if step.liquor_ratio is None else f"liquor 1:{step.liquor_ratio:g}",
        f"{step.litres:g} litres" if step.litres and step.liquor_ratio is None else "",
        used,
        "" if step.stock_days is None else f"stock {step.stock_days:g} days old",
        f"{step.water} water" if step.water else "",
        f"in {step.vessel}" if step.vessel else "",
    ]


def _vat(step: Step) -> list[str]:
    if not step.is_vat:
        return []
    dips = "" if step.dips is None else f"{step.dips:g} dip{'s' if step.dips != 1 else ''}"
    if step.dip_minutes is not None:
        each = time_words(step.dip_minutes)
        dips = f"{dips} of {each}" if dips else f"{each} a dip"
    kind = f"reduced with {step.vat}" if step.vat not in (None, "unnamed") else ""
    return [
        kind,
        f"with {step.vat_with}" if step.vat_with else "",
        dips,
        "" if step.vat_days is None else f"{step.vat_days:g} days old",
    ]


def _heat(step: Step) -> str:
    number = "" if step.temperature_C is None else f"{step.temperature_C:g} °C"
    if not step.heat:
        return number
    words = _HEAT.get(step.heat, step.heat)
    return f"{words} (taken as {number})" if number else words


def _time(step: Step) -> str:
    if step.minutes is None:
        return ""
    words = time_words(step.minutes)
    return f"{step.duration} (taken as {words})" if step.duration else words


def time_words(minutes: float) -> str:
    """Minutes as they are said: 90 min, 6 h, 2 days.

    >>> time_words(2880)
    '2 days'
    """
    for size, unit in ((1440, "days"), (60, "h")):
        if minutes >= 2 * size and minutes % (size / 2) == 0:
            return f"{minutes / size:g} {unit}"
    return f"{minutes:g} min"


def _material(m: Material, brief: bool) -> str:
    words = m.name
    if m.owf:
        words = f"{m.owf:g} % {m.name}"
    elif m.told:
        words = f"{m.name} ({m.told})"
    if m.role == "modifier":
        words += f" of jar {m.lot}" if m.lot else ""
        return words + (f", its test strip {m.strip}" if m.strip else "")
    more = [w for w in (m.form, m.lot) if w]
    return f"{words} ({', '.join(more)})" if more else words


def _amount_after(m: Material) -> str:
    """A material with its amount behind it: "oak gall 10 %"."""
    return f"{m.name} {m.owf:g} %" if m.owf else f"{m.name} ({m.told})" if m.told else m.name


def _and(parts: list[str]) -> str:
    return " and ".join(parts)


def _joined(parts: list[str]) -> str:
    return ", ".join(p for p in parts if p) + "."
