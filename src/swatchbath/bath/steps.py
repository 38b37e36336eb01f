"""What was done to the fibre, step by step, and the one rule that makes condition columns of it.

The rule, both ways (`conditions_of`, `steps_of`):

- `scour` is the first material of the first scour step.
- `tannin`, `mordant` are the first material of that role in any step, `mordant_assist` the first
  addition to a mordant bath, `assist` the first to a dye bath; a material named `none` says there
  was none; no such material says it is unknown. `mordant_C` and `mordant_minutes` are those of the
  step with that mordant.
- Dye: dyestuffs in one step went in together, those of a later dye step went over the earlier.
  So `dye_3_how` tells of dyestuff 3 and the one before it: `over` is a new dye step, `together`
  the same one; a manner that is not known stays so (`how_known` of the material).
  pH and how it was read, pH at the end, heat, time, liquor, bath number and the pot it comes
  from, age of the stock, water and vessel are those of the first dye step that is no vat.
- Vats: `vat`, `vat_dips`, `vat_dip_minutes`, `vat_days`, `vat_C`, `vat_pH` are numbered as the
  first dyestuff of their dye step is.
- After-baths: the last is `modifier`, the one before `modifier_2`, and so on backwards; of one
  that something was dyed over, `modifier_before` is the number of the first dyestuff over it.
- `wash_pH` is that of the last rinse or wash whose pH was read.

What no column holds (further materials, heat of a rinse, notes) stays with the steps, and what
is told of a bath is told of its steps; columns are for tables and for learning.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from ..errors import BadValue
from .step import Material, Step

# Columns of a dye step, in the table's names, and what they are called in a step.
_BATH = {
    n: n
    for n in ("pH", "pH_read", "pH_end", "temperature_C", "minutes", "liquor_ratio", "bath_number",
              "stock_days", "water", "vessel")
} | {"bath_of": "pot"}  # fmt: skip
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
    "fibre", "fibre_form", "base_L", "base_a", "base_b", "fibre_g", "pot_g", "pot_position",
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
        amount = {"dyestuff": "dye_owf"}.get(name, f"{name}_owf")
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
    if mordant := material("mordant", "mordant") + material("assist", "mordant_assist"):
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
        own: dict[str, Any] = vat if i != plain else {v: c.get(k) for k, v in _BATH.items()}
        beside = material("assist", "assist") if i == (plain or 0) else []
        steps.append(Step("dye", tuple(pot + beside), **own))
    after = []
    for suffix in ("", *(f"_{k}" for k in range(2, 10))):
        found = material("modifier", "modifier", suffix)
        pH, minutes = c.get(f"modifier_pH{suffix}"), c.get(f"modifier_minutes{suffix}")
        if found or pH is not None or minutes is not None:
            step = Step("after-bath", tuple(found), pH=pH, minutes=minutes)
            after.append((c.get(f"modifier_before{suffix}"), step))
    for before, step in reversed(after):
        steps.insert(_place(steps, before), step)
    if "wash_pH" in c:
        steps.append(Step("wash", pH=c["wash_pH"]))
    return steps


def _place(steps: Sequence[Step], before: float | None) -> int:
    """Where an after-bath stands among the steps: ahead of the dye bath of dyestuff `before`."""
    number = 0
    for i, step in enumerate(steps):
        dyes = sum(m.role == "dyestuff" for m in step.materials)
        if before is not None and number < before <= number + dyes and step.kind == "dye":
            return i
        number += dyes
    return len(steps)


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
    mordanted = [step for step in steps if step.kind == "mordant"]
    dyes = [step for step in steps if step.kind == "dye"]
    for name, role, where in (
        ("tannin", "tannin", steps),
        ("mordant", "mordant", steps),
        ("mordant_assist", "assist", mordanted),
        ("assist", "assist", dyes),
    ):
        found = next(_of_role(where, role), None)
        if found:
            put(name, found.name)
            put(f"{name}_owf", found.owf)
    for step in steps:
        if any(m.role == "mordant" for m in step.materials):
            # A mordant put into the dye pot has that pot's heat and time.
            if step.kind == "mordant":
                put("mordant_C", step.temperature_C)
                put("mordant_minutes", step.minutes)
            break
    for step in [s for s in dyes if not s.is_vat][:1]:
        for name, field in _BATH.items():
            put(name, getattr(step, field))
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
    after = [(i, s) for i, s in enumerate(steps) if s.kind == "after-bath"]
    for back, (place, step) in enumerate(reversed(after)):
        suffix = "" if back == 0 else f"_{back + 1}"
        found = next(_of_role([step], "modifier"), None)
        if found:
            put("modifier" + suffix, found.name)
            put("modifier_owf" + suffix, found.owf)
            put("modifier_lot" + suffix, found.lot)
            put("modifier_strip" + suffix, found.strip)
        put("modifier_before" + suffix, _over(steps, place))
        put("modifier_pH" + suffix, step.pH)
        put("modifier_minutes" + suffix, step.minutes)
    for step in reversed(steps):
        if step.kind in ("rinse", "wash") and step.pH is not None:
            put("wash_pH", step.pH)
            break
    return c


def _over(steps: Sequence[Step], place: int) -> float | None:
    """The number of the first dyestuff that was dyed over what stands at a place, or None."""
    dyes = [step if step.kind == "dye" else None for step in steps]
    before = sum(1 for _ in _of_role((s for s in dyes[:place] if s), "dyestuff"))
    over = next(_of_role((s for s in dyes[place:] if s), "dyestuff"), None)
    return None if over is None else before + 1.0


def _of_role(steps: Iterable[Step], role: str) -> Iterator[Material]:
    return (m for step in steps for m in step.materials if m.role == role)
