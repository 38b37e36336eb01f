"""What a person types, made into values: places in a photo, colours, limits."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.lab import Array, linear_srgb_to_xyz, srgb_decode, xyz_to_lab
from ...colorimetry.measurement import Measurement
from ...conditions.columns import column
from ...conditions.table import Checked, check_conditions
from ...errors import BadTable, BadValue
from ...library import Library, as_lab
from ...photo import Region
from .shown import colour_as_dict
from .wording import screen

# A wish (a screen colour, a picture without a card) is no measured colour: standard deviation in
# Lab on each axis. Screens and pictures of one thing differ by this and more; common practice,
# no source.
WISH_SD = 5.0


@dataclass(frozen=True)
class Target:
    """A colour asked for: as a value for the model, and as it is called on screen. said : how it
    was read in a photo, one sentence each; beside : the recorded swatches it was read beside."""

    value: Measurement | Array
    lab: Array
    called: str
    note: str = ""
    code: str | None = None
    said: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    name: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        facts: dict[str, Any] = {"called": self.called, "code": self.code, "name": self.name}
        facts |= colour_as_dict(self.value) | {"lab": self.lab.tolist(), "said": list(self.said)}
        facts |= {"beside": list(self.beside)}
        return facts | screen(self.lab)


def parse_mark(text: str, *, what: str) -> Region:
    """A place typed as x,y,half."""
    parts = re.split(r"[,;\s]+", text.strip())
    try:
        numbers = [float(p) for p in parts]
    except ValueError:
        numbers = []
    if len(numbers) != 3:
        raise BadValue(
            f"The place of {what} is '{text}'; give x,y,half in pixels, such as 410,220,60 (half "
            "is half the side of a square)."
        )
    return Region(numbers[0], numbers[1], numbers[2])


def parse_lab(text: str) -> Array:
    """A colour typed as L,a,b; with semicolons between them, commas are decimal ones."""
    parts = re.split(r"\s*;\s*", text.strip()) if ";" in text else re.split(r"[,\s]+", text.strip())
    try:
        return as_lab([float(p.replace(",", ".")) for p in parts if p])
    except ValueError as error:
        if isinstance(error, BadValue) and len(parts) == 3:
            raise
        raise BadValue(f"'{text}' is no colour; give L*, a*, b* as 61.2,12.4,47.9.") from error


def wish(lab: Array, called: str) -> Target:
    """A colour that was not measured, with its large doubt. lab : (3,)."""
    return Target(
        Measurement(lab, np.eye(3) * WISH_SD**2),
        lab,
        called,
        "A screen or a picture without a card shows a wish, not a measured colour; its doubt is "
        "large and enters the answer.",
    )


def parse_target(text: str, library: Library | None) -> Target:
    """A colour typed as L,a,b, as #rrggbb (a wish), or as a swatch's code or name."""
    typed = text.strip()
    if re.fullmatch(r"#[0-9a-fA-F]{6}", typed):
        codes = np.array([int(typed[i : i + 2], 16) for i in (1, 3, 5)]) / 255
        lab = xyz_to_lab(linear_srgb_to_xyz(srgb_decode(codes)))
        return wish(lab, f"the screen colour {typed.lower()}")
    parts = [p for p in re.split(r"[,;\s]+", typed) if p]
    numbers = [p for p in parts if re.fullmatch(r"[+-]?\d+(\.\d+)?", p)]
    if len(parts) == 3 and len(numbers) == 3 and "," in typed + ",":
        lab = as_lab([float(p) for p in parts])
        return Target(lab, lab, f"L* {lab[0]:g}, a* {lab[1]:g}, b* {lab[2]:g}")
    if typed.startswith("#") or (len(parts) > 1 and numbers):
        raise BadValue(
            f"'{text}' is no colour. Give L*, a*, b* as 62,12,48, a screen colour as #c8a050, or "
            "the code or name of a swatch."
        )
    if library is None:
        raise BadValue(
            f"'{text}' is no colour, and there is no library to look for a swatch in. Give L*, a*, "
            "b* as 62,12,48, or a screen colour as #c8a050."
        )
    swatch = library.swatch(typed)
    if swatch.measured is None:
        none = f"Swatch {swatch.code} has no dry reading yet; photograph it first."
        raise BadValue(swatch.issues[0] if swatch.issues else none)
    called = f"swatch {swatch.code}" + (f" ({swatch.name})" if swatch.name else "")
    return Target(
        swatch.measured, to_d65_2(swatch.measured).lab, called, code=swatch.code, name=swatch.name
    )


def parse_steps(items: Iterable[str]) -> dict[str, float]:
    """Steps that suggested numbers are rounded to, typed as column=step."""
    steps: dict[str, float] = {}
    for item in items:
        name, _, value = (part.strip() for part in item.partition("="))
        about = column(name)
        try:
            step = float(value)
        except ValueError:
            step = 0.0
        if about is None or about.kind != "number" or not 0 < step < 1e6:
            raise BadValue(
                f"'{item}' is no step. Write a column of numbers and what it is rounded to, such "
                "as pH=0.5, temperature_C=10 or mordant_owf=2."
            )
        steps[name] = step
    return steps


def parse_limits(items: Iterable[str]) -> dict[str, Any]:
    """Limits typed as column=value, column=low..high or column=this,that."""
    limits: dict[str, Any] = {}
    for item in items:
        name, sign, value = item.partition("=")
        name, value = name.strip(), value.strip()
        about = column(name)
        if name in limits:
            raise BadValue(f"{name} is limited twice; give one limit on it.")
        if not sign or not value or about is None:
            hint = "" if about or not sign else f" There is no column '{name}'."
            raise BadValue(
                f"'{item}' is no limit.{hint} Write column=value, column=low..high or "
                "column=this,that, such as fibre=wool or pH=5..7."
            )
        low, dots, high = value.partition("..")
        if about.kind == "number":
            try:
                ends = about.recorded or (0.0, 0.0)
                limits[name] = (
                    (float(low or ends[0]), float(high or ends[1]))  # ..7 and 5.. leave an end open
                    if dots
                    else [float(v) for v in value.split(",")]
                    if "," in value
                    else float(value)
                )
            except ValueError as error:
                raise BadValue(
                    f"'{item}': {name} is a number ({about.allowed}); write {name}=6 or "
                    f"{name}=5..7, ..7 or 5.. ."
                ) from error
        else:
            words = [w.strip() for w in value.split(",") if w.strip()]
            limits[name] = words if len(words) > 1 else words[0]
    return limits


def check_bath(bath: Mapping[str, str]) -> Checked:
    """`check_conditions` of one bath that was typed and not in a table, so no row is named."""
    if not bath:
        raise BadValue(
            "Nothing is told of the bath. Say at least the fibre and the dyestuff, such as "
            "--set fibre=wool --set dyestuff=weld."
        )
    try:
        return check_conditions(pd.DataFrame([dict(bath)]))
    except BadTable as error:
        plain = str(error).removeprefix("Row 2, ").replace("column ", "", 1)
        for name in ("fibre", "dyestuff"):
            if name not in bath:
                plain = f"The {name} is missing; add {name}=... to what is told of the bath."
                break
        raise BadValue(plain[0].upper() + plain[1:] if plain[:2] != "pH" else plain) from error


def parse_bath(items: Iterable[str]) -> dict[str, str]:
    """A bath typed as column=value, each cell as it would stand in a table."""
    bath: dict[str, str] = {}
    for item in items:
        name, sign, value = item.partition("=")
        if not sign or column(name.strip()) is None:
            raise BadValue(
                f"'{item}' is no cell of a bath. Write column=value, such as fibre=wool or pH=6; "
                "swatchbath record --columns lists the columns."
            )
        if name.strip() in bath:
            raise BadValue(f"{name.strip()} is told twice; give it once.")
        bath[name.strip()] = value.strip()
    return bath
