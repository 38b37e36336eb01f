"""A step told as one line, such as `reading` reads."""

from __future__ import annotations

from dataclasses import replace

from ...errors import BadValue
from ..step import Material, Step
from .facts import HEAT_WORDS
from .quantities import OVERNIGHT_MINUTES
from .reading import read_step


def line_of(step: Step) -> str:
    """A step as a line: as it was typed, or else in the same words.

    Names stand in quotation marks where the line would not be read as this step without them.
    """
    if step.typed:
        return step.typed
    plain = _line(step, "")
    try:
        same = replace(read_step(plain), typed="") == step
    except BadValue:
        same = False
    return plain if same or not step.materials else _line(step, '"')


def _line(step: Step, mark: str) -> str:
    told = [_material_words(m, mark) for m in step.materials]
    if step.vat and step.vat != "unnamed":
        told.append(f"{step.vat} vat")
    told.append(step.vat_with or "")
    dips = "" if step.dips is None else f"{step.dips:g} dips"
    if step.dip_minutes is not None:
        dips = f"{dips} of {step.dip_minutes:g} min" if dips else f"{step.dip_minutes:g} min a dip"
    read = f" {step.pH_read}" if step.pH_read and step.pH is not None else ""
    end = "" if step.pH_end is None else f"end pH {step.pH_end:g}"
    in_words = step.heat is not None and step.temperature_C == HEAT_WORDS.get(step.heat)
    night = step.duration == "overnight" and step.minutes == OVERNIGHT_MINUTES
    units = [
        (step.pH, f"pH {{:g}}{read}"),
        (None if in_words else step.temperature_C, "{:g} C"),
        (None if night else step.minutes, "{:g} min"),
        (step.liquor_ratio, "liquor 1:{:g}"),
        (step.litres, "{:g} l water"),
        (step.bath_number, "bath {:g}"),
        (step.stock_days, "stock {:g} days"),
        (step.vat_days, "{:g} days old"),
    ]
    told += [dips, *(text.format(v) for v, text in units if v is not None)]
    told += [
        end,
        ("in the sun" if step.heat == "sun" else step.heat) or "",
        "overnight" if night else "",
        f"from pot {step.pot}" if step.pot else "",
        f"in {step.vessel}" if step.vessel else "",
        f"{step.water} water" if step.water else "",
        f"note: {step.note}" if step.note else "",
    ]
    word = "vat" if step.is_vat else step.kind
    if step.kind == "mordant" and any(m.role == "tannin" for m in step.materials):
        word = "tannin"
    parts = ", ".join(t for t in told if t)
    return f"{word}: {parts}" if parts else word


def _material_words(m: Material, mark: str) -> str:
    if m.name == "none":
        return m.name
    name = f"{mark}{m.name}{mark}"
    words = f"{m.form} {name}" if m.form else name
    if m.owf is not None:
        words += f" {m.owf:g} %"
    elif m.told:
        words += f" {m.told}"
    if m.role == "modifier" and m.lot and " " not in m.lot:
        words += f", jar {m.lot}"
    elif m.lot:
        words += f" (lot {m.lot})"
    return words + (f", strip {m.strip}" if m.strip else "")
