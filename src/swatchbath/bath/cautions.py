"""What can hurt in a bath, in short orders.

The sentences stand in `cautions.json`, each with its origin; the caps for what may be suggested
are in `caps`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from . import materials
from .caps import cap
from .step import Step

_ALKALIS = frozenset(("lye", "lime", "soda", "ammonia"))
# What eyes are rinsed for at once.
_BURNS = frozenset(("lye", "strong lye", "lime", "ammonia", "acid", "strong acid"))


@dataclass(frozen=True)
class Caution:
    """One order: its name, one short sentence, and where it comes from.

    Attributes
    ----------
    name, sentence, origin : str
    danger : str
        In a few words.
    of : tuple of str
        The materials it is about; none where it is about fibre or heat.
    stands : bool
        Whether it is always told in full.
    general : bool
        Whether it holds for every hot pot or for any pot.

    Examples
    --------
    >>> Caution("hot", "Lift the lid away from you.", "common practice").as_dict()["name"]
    'hot'
    """

    name: str
    sentence: str
    origin: str
    danger: str = ""
    of: tuple[str, ...] = ()
    stands: bool = False
    general: bool = False

    def as_dict(self) -> dict[str, str]:
        """Plain values for JSON."""
        return {"name": self.name, "sentence": self.sentence, "origin": self.origin}


def all_cautions() -> tuple[Caution, ...]:
    """Every caution there is, in order."""
    return tuple(_caution(c) for c in materials.words_of()["cautions"])


def _caution(entry: Mapping[str, Any]) -> Caution:
    return Caution(
        entry["name"], entry["sentence"], entry["origin"], entry["danger"], tuple(entry["of"]),
        bool(entry.get("stands")), bool(entry.get("general")),
    )  # fmt: skip


def materials_of(conditions: Mapping[str, Any], steps: Sequence[Step] = ()) -> frozenset[str]:
    """Every material that a bath names beside its dyestuffs: iron, lye, alum ...; what reduces a
    vat and what lies in it included."""
    return _in_baths(conditions, steps) | materials.materials_in(
        [*materials.vats(conditions), *(w for s in steps for w in (s.vat, s.vat_with))]
    )


def _in_baths(conditions: Mapping[str, Any], steps: Sequence[Step]) -> frozenset[str]:
    used = [conditions.get(n) for n in ("mordant", "tannin", "assist", "mordant_assist")]
    used += [word for _, word in materials.after_baths(conditions)]
    used += [m.name for step in steps for m in step.materials if m.role != "dyestuff"]
    return materials.materials_in(used)


def _facts(conditions: Mapping[str, Any], steps: Sequence[Step]) -> set[str]:
    """Which of the situations in the data hold for a bath."""
    dyes = materials.dyestuffs(conditions)
    dyes += [m.name for step in steps for m in step.materials if m.role == "dyestuff"]
    dyes = [d for d in dyes if materials.given(d)]
    vessels = [conditions.get("vessel"), *(step.vessel for step in steps)]
    fibre = conditions.get("fibre")
    kind, silk = materials.family(fibre), materials.is_silk(fibre)
    vat = materials.in_a_vat(conditions) or any(step.is_vat for step in steps)
    reducers = [*materials.vats(conditions), *(step.vat for step in steps if step.vat)]
    hot = _is_hot(conditions, steps)

    # What lay in a vat is told apart: a vat is alkaline by nature, and no slip.
    in_baths, named = _in_baths(conditions, steps), materials_of(conditions, steps)

    def has(material: str) -> bool:
        return material in named

    iron = has("iron") or any(materials.is_a(v, "iron") for v in vessels)
    pHs = [materials.number(conditions, "pH"), materials.number(conditions, "wash_pH")]
    pHs += [
        materials.number(conditions, f"modifier_pH{s}")
        for s in materials.slots(conditions, "modifier")
    ]
    pHs += [step.pH for step in steps if step.pH is not None and not step.is_vat]
    alkali = bool(in_baths & _ALKALIS) or any(p > 8 for p in pHs)
    forms = [conditions.get(f"dyestuff_form{s}") for s in materials.slots(conditions, "dyestuff")]
    forms += [m.form for step in steps for m in step.materials]
    poison = bool(
        (named | materials.materials_in([*dyes, *vessels])) & set(materials.words_of()["poisons"])
    )
    true = {
        "always": True,
        "iron": iron,
        "iron on silk or cellulose": iron and (silk or kind == "cellulose"),
        "iron on wool": iron and kind == "protein" and not silk,
        "iron liquor": has("iron liquor"),
        "lime": has("lime"),
        "lye": has("lye"),
        "burns eyes": vat or bool(named & _BURNS),
        "lye on silk": bool(in_baths & {"lye", "lime"}) and silk,
        "vat": vat or has("reducing agent"),
        "vat on protein": vat and kind == "protein",
        "strong reducer": has("reducing agent") or (vat and not _all_mild(reducers)),
        "soda": has("soda"),
        "ammonia": has("ammonia"),
        "alkali on protein": alkali and kind == "protein",
        "acid": has("acid") or has("strong acid"),
        "acid on cellulose": has("acid") and kind == "cellulose",
        "acid and alkali": has("acid") and bool(named & {"lye", "lime", "soda"}),
        "bleach, acid or ammonia": has("bleach") or has("acid") or has("ammonia"),
        "alkali or acid": bool(named & _ALKALIS)
        or any(p > 8 for p in pHs)
        or has("acid")
        or has("strong acid"),
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


def _is_hot(conditions: Mapping[str, Any], steps: Sequence[Step]) -> bool:
    """Whether any bath was hot, or may have been: a vat of which no heat is told was not."""
    wet = [s for s in steps if s.kind in ("scour", "mordant", "dye") and not s.is_vat]
    heats = [materials.number(conditions, "temperature_C")]
    if steps:
        heats = [s.temperature_C for s in steps if s.temperature_C is not None]
        heats += [math.nan for s in wet if s.temperature_C is None and s.kind == "dye"]
    elif materials.in_a_vat(conditions) and math.isnan(heats[0]):
        vats = materials.slots(conditions, "vat_C")
        heats = [materials.number(conditions, f"vat_C{s}") for s in vats]
        heats = [h for h in heats if not math.isnan(h)]
    return any(math.isnan(h) or h > cap("hot") for h in heats)


def _all_mild(reducers: Sequence[str]) -> bool:
    """Whether every vat is known to be reduced with sugar, plants, ferment or iron."""
    mild = materials.words_of()["mild_reducers"]
    return bool(reducers) and all(
        any(re.search(rf"(?<!\w){re.escape(w)}(?!\w)", materials.plain(r)) for w in mild)
        for r in reducers
    )


def most_hazardous_first(cautions: Iterable[Caution]) -> list[Caution]:
    """Cautions of several baths in the order that those of one have."""
    order = [c["name"] for c in materials.words_of()["cautions"]]
    return sorted(cautions, key=lambda c: order.index(c.name))


def cautions_for(conditions: Mapping[str, Any], steps: Sequence[Step] = ()) -> list[Caution]:
    """The cautions one bath calls for, most hazardous first; deference to rules comes last.

    conditions : the condition columns by name, as recorded or suggested; what is missing is
    unknown. steps : its steps, where they are known: what no column holds (lime in a vat, further
    materials) is seen there. Never empty.
    """
    facts = _facts(conditions, steps)
    return [_caution(c) for c in materials.words_of()["cautions"] if c["when"] in facts]
