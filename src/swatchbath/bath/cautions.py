"""What can hurt in a bath, in short orders.

The sentences stand in `cautions.json`, each with its origin; the caps for what may be suggested
are in `caps`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from . import materials
from .caps import cap


@dataclass(frozen=True)
class Caution:
    """One order: its name, one short sentence, and where it comes from."""

    name: str
    sentence: str
    origin: str

    def as_dict(self) -> dict[str, str]:
        """Plain values for JSON."""
        return {"name": self.name, "sentence": self.sentence, "origin": self.origin}


def all_cautions() -> tuple[Caution, ...]:
    """Every caution there is, in order."""
    return tuple(
        Caution(c["name"], c["sentence"], c["origin"]) for c in materials.words_of()["cautions"]
    )


def _facts(conditions: Mapping[str, Any]) -> set[str]:
    """Which of the situations in the data hold for a bath."""
    used = [conditions.get(n) for n in ("mordant", "tannin", "assist", "mordant_assist")]
    used += [word for _, word in materials.after_baths(conditions)]
    used += materials.vats(conditions)
    dyes = materials.dyestuffs(conditions)
    fibre = conditions.get("fibre")
    kind, silk = materials.family(fibre), materials.is_silk(fibre)
    heat = materials.number(conditions, "temperature_C")
    hot = math.isnan(heat) or heat > cap("hot")

    named = materials.materials_in(used)

    def has(material: str) -> bool:
        return material in named

    iron = has("iron") or materials.is_a(conditions.get("vessel"), "iron")
    pHs = [materials.number(conditions, "pH"), materials.number(conditions, "wash_pH")]
    pHs += [
        materials.number(conditions, f"modifier_pH{s}")
        for s in materials.slots(conditions, "modifier")
    ]
    pHs += [
        materials.number(conditions, f"vat_pH{s}") for s in materials.slots(conditions, "vat_pH")
    ]
    alkali = has("lye") or has("soda") or has("ammonia") or any(p > 8 for p in pHs)
    forms = [conditions.get(f"dyestuff_form{s}") for s in materials.slots(conditions, "dyestuff")]
    everything = [*used, *dyes, conditions.get("vessel")]
    poison = bool(materials.materials_in(everything) & set(materials.words_of()["poisons"]))
    true = {
        "always": True,
        "iron": iron,
        "iron on silk or cellulose": iron and (silk or kind == "cellulose"),
        "iron on wool": iron and kind == "protein" and not silk,
        "iron liquor": has("iron liquor"),
        "lye": has("lye"),
        "lye on silk": has("lye") and silk,
        "vat": materials.in_a_vat(conditions) or has("reducing agent"),
        "soda": has("soda"),
        "ammonia": has("ammonia"),
        "alkali on protein": alkali and kind == "protein",
        "acid": has("acid") or has("strong acid"),
        "acid on cellulose": has("acid") and kind == "cellulose",
        "acid and alkali": has("acid") and (has("lye") or has("soda")),
        "bleach, acid or ammonia": has("bleach") or has("acid") or has("ammonia"),
        "alkali or acid": alkali or has("acid") or has("strong acid"),
        "powder": has("alum")
        or has("tannin")
        or iron
        or has("soda")
        or any(materials.plain(f) in ("powder", "extract") for f in forms if materials.given(f)),
        "hot": hot,
        "hot wool": kind == "protein" and not silk and hot,
        "hot silk": silk and hot,
        "madder": any("madder" in materials.plain(d) for d in dyes),
        "logwood": any("logwood" in materials.plain(d) for d in dyes),
        "never suggested": poison,
        "strong acid": has("strong acid") or has("strong lye"),
        "poisonous plant": any(materials.is_a(d, "poisonous plant") for d in dyes),
        "plant not listed": any(
            materials.plain(d) not in materials.words_of()["known_dyestuffs"] for d in dyes
        ),
    }
    return {name for name, holds in true.items() if holds}


def cautions_for(conditions: Mapping[str, Any]) -> list[Caution]:
    """The cautions one bath calls for, most hazardous first; deference to rules comes last.

    conditions : the condition columns by name, as recorded or suggested; what is missing is
    unknown. Never empty.
    """
    facts = _facts(conditions)
    return [
        Caution(c["name"], c["sentence"], c["origin"])
        for c in materials.words_of()["cautions"]
        if c["when"] in facts
    ]
