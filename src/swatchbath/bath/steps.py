"""What was done to the fibre, step by step, and the one rule that makes condition columns of it.

The rule, both ways (`conditions_of`, `steps_of`):

- `scour` is the first material of the first scour step.
- `tannin`, `mordant`, `assist` are the first material of that role in any step (`assist` in a
  dye step first); a material named `none` says there was none; no such material says it is
  unknown. `mordant_C` and `mordant_minutes` are those of the step with that mordant.
- Dye: dyestuffs in one step went in together, those of a later dye step went over the earlier.
  So `dye_3_how` tells of dyestuff 3 and the one before it: `over` is a new dye step, `together`
  the same one; a manner that is not known stays so (`how_known` of the material).
  pH and how it was read, heat, time, liquor, bath number, age of the stock, water and vessel are
  those of the first dye step that is no vat.
- Vats: `vat`, `vat_dips`, `vat_dip_minutes`, `vat_days`, `vat_C`, `vat_pH` are numbered as the
  first dyestuff of their dye step is.
- After-baths: the last is `modifier`, the one before `modifier_2`, and so on backwards.
- `wash_pH` is that of the last rinse or wash whose pH was read.

What no column holds (further materials, heat of a rinse, notes) stays with the steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from ..errors import BadValue
from .step import Material, Step

# Columns of a dye step, in the table's names.
_BATH = (
    "pH", "pH_read", "temperature_C", "minutes", "liquor_ratio", "bath_number", "stock_days",
    "water", "vessel",
)  # fmt: skip
# Columns of a vat, and what they are called in a step.
VAT_COLUMNS = {
    "vat": "vat",
    "vat_dips": "dips",
    "vat_dip_minutes": "dip_minutes",
    "vat_days": "vat_days",
    "vat_C": "temperature_C",
    "vat_pH": "pH",
}
# How a further dyestuff came to the ones before it, in the table's words.
HOW = ("together", "over")
# Columns that describe the fibre and not a step.
FIBRE_COLUMNS = (
    "fibre", "fibre_form", "base_L", "base_a", "base_b", "fibre_g", "pot_position",
)  # fmt: skip


def known(value: Any) -> Any:
    """None for unknown in any of a table's spellings."""
    if value is None or value == "" or value != value:
        return None
    return value


def steps_of(conditions: Mapping[str, Any]) -> list[Step]:
    """The steps that a row of condition columns tells of.

    Raises BadValue where `dye_2_how` and its like hold another word than together or over.
    """
    c = {k: v for k, v in conditions.items() if known(v) is not None}

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
                c.get(
                    {"dyestuff": "dyestuff_lot", "modifier": "modifier_lot"}.get(role, "") + suffix
                ),
                how_known,
                c.get("modifier_strip" + suffix) if role == "modifier" else None,
            )
        ]

    steps: list[Step] = []
    if "scour" in c:
        steps.append(Step("scour", (Material("other", str(c["scour"])),)))
    if tannin := material("tannin", "tannin"):
        steps.append(Step("mordant", tuple(tannin)))
    if mordant := material("mordant", "mordant"):
        heat, minutes = c.get("mordant_C"), c.get("mordant_minutes")
        steps.append(Step("mordant", tuple(mordant), temperature_C=heat, minutes=minutes))
    pots = [material("dyestuff", "dyestuff")]
    vats = [_vat_of(c, "")]
    for k in range(2, 10):
        how = c.get(f"dye_{k}_how")
        if how is not None and how not in HOW:
            raise BadValue(f"dye_{k}_how is '{how}'; write {' or '.join(HOW)}, or leave it empty.")
        more = material("dyestuff", "dyestuff", f"_{k}", how_known=how is not None)
        if more and how == "over":
            pots.append(more)
            vats.append(_vat_of(c, f"_{k}"))
        else:
            pots[-1] += more
    # The assist and the bath's own columns tell of the first pot that is no vat.
    plain = next((i for i, vat in enumerate(vats) if not vat), None)
    for i, (pot, vat) in enumerate(zip(pots, vats, strict=True)):
        own: dict[str, Any] = {k: c.get(k) for k in _BATH} if i == plain else vat
        beside = material("assist", "assist") if i == (plain or 0) else []
        steps.append(Step("dye", tuple(pot + beside), **own))
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


def _vat_of(c: Mapping[str, Any], suffix: str) -> dict[str, Any]:
    """What a row tells of the vat of a dyestuff; empty where it was no vat."""
    vat = {v: c[k + suffix] for k, v in VAT_COLUMNS.items() if k + suffix in c}
    return vat if set(vat) - {"temperature_C", "pH"} else {}


def conditions_of(steps: Sequence[Step], fibre: Mapping[str, Any]) -> dict[str, Any]:
    """The condition columns of steps (see the rule above); unknown columns are absent.

    fibre : the columns that describe the fibre (`fibre`, `fibre_form`, `base_L` ...).
    """
    c: dict[str, Any] = {k: fibre[k] for k in FIBRE_COLUMNS if known(fibre.get(k)) is not None}

    def put(name: str, value: Any) -> None:
        if known(value) is not None:
            c[name] = value

    scours = [m for step in steps if step.kind == "scour" for m in step.materials]
    if scours:
        put("scour", scours[0].name)
    for role in ("tannin", "mordant", "assist"):
        # What was added to the dye bath itself comes before what the mordant held.
        dyed = [s for s in steps if s.kind == "dye"] if role == "assist" else []
        found = next(_of_role((*dyed, *steps), role), None)
        if found:
            put(role, found.name)
            put(f"{role}_owf", found.owf)
    for step in steps:
        if any(m.role == "mordant" for m in step.materials):
            # A mordant put into the dye pot has that pot's heat and time.
            if step.kind == "mordant":
                put("mordant_C", step.temperature_C)
                put("mordant_minutes", step.minutes)
            break
    dyes = [step for step in steps if step.kind == "dye"]
    for step in [s for s in dyes if not s.is_vat][:1]:
        for name in _BATH:
            put(name, getattr(step, name))
    number = 0
    for step in dyes:
        if step.is_vat:
            suffix = "" if number == 0 else f"_{number + 1}"
            for column, name in VAT_COLUMNS.items():
                put(column + suffix, getattr(step, name))
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
            put("modifier_lot" + suffix, found.lot)
            put("modifier_strip" + suffix, found.strip)
        put("modifier_pH" + suffix, step.pH)
        put("modifier_minutes" + suffix, step.minutes)
    for step in reversed(steps):
        if step.kind in ("rinse", "wash") and step.pH is not None:
            put("wash_pH", step.pH)
            break
    return c


def _of_role(steps: Iterable[Step], role: str) -> Iterator[Material]:
    return (m for step in steps for m in step.materials if m.role == role)
