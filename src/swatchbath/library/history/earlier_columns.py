"""How layouts 1 to 5 made condition columns of steps. Frozen: it only serves to tell, when such a
library is brought up to date, what is learnt from otherwise since. Today's rule stands in
`bath/steps.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from ...bath.step import Material, Step
from ...bath.steps import FIBRE_COLUMNS, known

_BATH = (
    "pH", "pH_read", "temperature_C", "minutes", "liquor_ratio", "bath_number", "stock_days",
    "water", "vessel",
)  # fmt: skip
_VAT_COLUMNS = {
    "vat": "vat",
    "vat_dips": "dips",
    "vat_dip_minutes": "dip_minutes",
    "vat_days": "vat_days",
    "vat_C": "temperature_C",
    "vat_pH": "pH",
}


def earlier_columns(steps: Sequence[Step], fibre: Mapping[str, Any]) -> dict[str, Any]:
    """The condition columns of steps as layouts 1 to 5 made them; unknown columns are absent."""
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
            for column, name in _VAT_COLUMNS.items():
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
