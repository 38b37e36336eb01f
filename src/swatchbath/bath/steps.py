"""What was done to the fibre, step by step, and the one rule that makes condition columns of it.

The rule, both ways (`conditions_of`, `steps_of`):

- `tannin`, `mordant`, `assist` are the first material of that role in any step; a material named
  `none` says there was none; no such material says it is unknown.
- Dye: dyestuffs in one step went in together, those of a later dye step went over the earlier.
  So `dye_3_how` tells of dyestuff 3 and the one before it: `over` is a new dye step, `together`
  the same one; a manner that is not known stays so (`how_known` of the material).
  pH, heat, time, liquor, bath number, water and vessel are those of the first dye step.
- After-baths: the last is `modifier`, the one before `modifier_2`, and so on backwards.
- `wash_pH` is that of the last rinse or wash whose pH was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from math import isfinite, isnan
from numbers import Real
from typing import Any

from ..errors import BadValue

KINDS = ("scour", "mordant", "dye", "after-bath", "rinse", "wash", "dry")
ROLES = ("tannin", "mordant", "assist", "dyestuff", "modifier", "other")
# Columns of a dye step, in the table's names.
_BATH = ("pH", "temperature_C", "minutes", "liquor_ratio", "bath_number", "water", "vessel")
_WORDS = ("water", "vessel", "note")
# How a further dyestuff came to the ones before it, in the table's words.
HOW = ("together", "over")
# Columns that describe the fibre and not a step.
FIBRE_COLUMNS = ("fibre", "fibre_form", "base_L", "base_a", "base_b", "fibre_g")


@dataclass(frozen=True)
class Material:
    """Something in a pot: what it is for, its name, % owf, form and delivery (None: unknown).

    how_known : False for a dyestuff of which it is not known whether it went in together with
    the one before it or over it.
    """

    role: str
    name: str
    owf: float | None = None
    form: str | None = None
    lot: str | None = None
    how_known: bool = True

    def __post_init__(self) -> None:
        if self.role not in ROLES:
            raise BadValue(f"'{self.role}' is no use of a material; use {', '.join(ROLES)}.")
        if not isinstance(self.name, str) or not self.name.strip():
            raise BadValue(f"A material needs a name in words, such as alum; not {self.name!r}.")
        _check_number(self.owf, f"The amount of {self.name}")
        for what, word in (("form", self.form), ("lot", self.lot)):
            _check_word(word, f"The {what} of {self.name}")


@dataclass(frozen=True)
class Step:
    """One treatment: scour, mordant, dye, after-bath, rinse, wash or dry. None: unknown.

    pH as read, temperature in C, minutes, liquor in litres per kg of fibre, bath_number 1 for a
    fresh bath.
    """

    kind: str
    materials: tuple[Material, ...] = ()
    pH: float | None = None
    temperature_C: float | None = None
    minutes: float | None = None
    liquor_ratio: float | None = None
    bath_number: float | None = None
    water: str | None = None
    vessel: str | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadValue(f"'{self.kind}' is no step known here; use one of {', '.join(KINDS)}.")
        object.__setattr__(self, "materials", tuple(self.materials))
        for material in self.materials:
            if not isinstance(material, Material):
                raise BadValue(f"{material!r} is no Material; say Material(role, name, owf).")
        for name in (f.name for f in fields(self)):
            if name in _WORDS:
                _check_word(getattr(self, name), f"The {name} of a {self.kind} step")
            elif name not in ("kind", "materials"):
                _check_number(getattr(self, name), f"The {name} of a {self.kind} step")


def _check_number(value: Any, what: str) -> None:
    if value is None:
        return
    if isinstance(value, bool) or not isinstance(value, Real):
        raise BadValue(f"{what} is {value!r}; give a number, or None where it is not known.")
    if not (isfinite(value) or isnan(value)):
        raise BadValue(f"{what} has no end; give a number, or None where it is not known.")


def _check_word(value: Any, what: str) -> None:
    if value is not None and not isinstance(value, str):
        raise BadValue(f"{what} is {value!r}; give a word, or None where it is not known.")


def _known(value: Any) -> Any:
    """None for unknown in any of a table's spellings."""
    if value is None or value == "" or value != value:
        return None
    return value


def steps_of(conditions: Mapping[str, Any]) -> list[Step]:
    """The steps that a row of condition columns tells of.

    Raises BadValue where `dye_2_how` and its like hold another word than together or over.
    """
    c = {k: v for k, v in conditions.items() if _known(v) is not None}

    def material(role: str, name: str, suffix: str = "", how_known: bool = True) -> list[Material]:
        if name + suffix not in c:
            return []
        amount = {"dyestuff": "dye_owf", "modifier": "modifier_owf"}.get(role, f"{role}_owf")
        return [
            Material(
                role,
                str(c[name + suffix]),
                None if c[name + suffix] == "none" else c.get(amount + suffix),
                c.get("dyestuff_form" + suffix) if role == "dyestuff" else None,
                c.get("dyestuff_lot" + suffix) if role == "dyestuff" else None,
                how_known,
            )
        ]

    steps: list[Step] = []
    before = material("tannin", "tannin"), material("mordant", "mordant")
    steps += [Step("mordant", tuple(found)) for found in before if found]
    bath: dict[str, Any] = {k: c.get(k) for k in _BATH}
    pots = [material("dyestuff", "dyestuff")]
    for k in range(2, 10):
        how = c.get(f"dye_{k}_how")
        if how is not None and how not in HOW:
            raise BadValue(f"dye_{k}_how is '{how}'; write {' or '.join(HOW)}, or leave it empty.")
        more = material("dyestuff", "dyestuff", f"_{k}", how_known=how is not None)
        if more and how == "over":
            pots.append(more)
        else:
            pots[-1] += more
    first, *over = pots
    steps.append(Step("dye", tuple(first + material("assist", "assist")), **bath))
    steps += [Step("dye", tuple(pot)) for pot in over]
    after = []
    for suffix in ("", *(f"_{k}" for k in range(2, 10))):
        found = material("modifier", "modifier", suffix)
        pH, minutes = c.get(f"modifier_pH{suffix}"), c.get(f"modifier_minutes{suffix}")
        if found or pH is not None or minutes is not None:
            after.append(Step("after-bath", tuple(found), pH=pH, minutes=minutes))
    steps += reversed(after)
    if "wash_pH" in c:
        steps.append(Step("wash", pH=c["wash_pH"]))
    return steps


def conditions_of(steps: Sequence[Step], fibre: Mapping[str, Any]) -> dict[str, Any]:
    """The condition columns of steps (see the rule above); unknown columns are absent.

    fibre : the columns that describe the fibre (`fibre`, `fibre_form`, `base_L` ...).
    """
    c: dict[str, Any] = {k: fibre[k] for k in FIBRE_COLUMNS if _known(fibre.get(k)) is not None}

    def put(name: str, value: Any) -> None:
        if _known(value) is not None:
            c[name] = value

    for role in ("tannin", "mordant", "assist"):
        found = next(_of_role(steps, role), None)
        if found:
            put(role, found.name)
            put(f"{role}_owf", found.owf)
    dyes = [step for step in steps if step.kind == "dye"]
    if dyes:
        for name in _BATH:
            put(name, getattr(dyes[0], name))
    number = 0
    for step in dyes:
        for place, dyestuff in enumerate(_of_role([step], "dyestuff")):
            number += 1
            suffix = "" if number == 1 else f"_{number}"
            put("dyestuff" + suffix, dyestuff.name)
            put("dyestuff_form" + suffix, dyestuff.form)
            put("dyestuff_lot" + suffix, dyestuff.lot)
            put("dye_owf" + suffix, dyestuff.owf)
            if number > 1 and (place == 0 or dyestuff.how_known):
                put(f"dye_{number}_how", "over" if place == 0 else "together")
    for back, step in enumerate(s for s in reversed(steps) if s.kind == "after-bath"):
        suffix = "" if back == 0 else f"_{back + 1}"
        found = next(_of_role([step], "modifier"), None)
        if found:
            put("modifier" + suffix, found.name)
            put("modifier_owf" + suffix, found.owf)
        put("modifier_pH" + suffix, step.pH)
        put("modifier_minutes" + suffix, step.minutes)
    for step in reversed(steps):
        if step.kind in ("rinse", "wash") and step.pH is not None:
            put("wash_pH", step.pH)
            break
    return c


def _of_role(steps: Iterable[Step], role: str) -> Iterator[Material]:
    return (m for step in steps for m in step.materials if m.role == role)
