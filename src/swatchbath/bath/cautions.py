"""What can hurt in a bath, in short orders; and caps for what may be suggested.

The sentences and the figures stand in `cautions.json`, each with its origin. Caps bind what this
project suggests, never what may be recorded, and no limit of the person who dyes raises them.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any

from ..errors import NotFound

__all__ = ["Caution", "all_cautions", "breaks_caps", "cap", "cautions_for", "family", "is_a"]


@dataclass(frozen=True)
class Caution:
    """One order: its name, one short sentence, and where it comes from."""

    name: str
    sentence: str
    origin: str

    def as_dict(self) -> dict[str, str]:
        """Plain values for JSON."""
        return {"name": self.name, "sentence": self.sentence, "origin": self.origin}


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    text = (files("swatchbath.bath") / "cautions.json").read_text(encoding="utf-8")
    return dict(json.loads(text))


def all_cautions() -> tuple[Caution, ...]:
    """Every caution there is, in order."""
    return tuple(Caution(c["name"], c["sentence"], c["origin"]) for c in _data()["cautions"])


def cap(name: str) -> float:
    """A cap by its name, such as "heat for wool" (°C). Raises NotFound."""
    for entry in _data()["caps"]:
        if entry["name"] == name:
            return float(entry["limit"])
    names = ", ".join(e["name"] for e in _data()["caps"])
    raise NotFound(f"There is no cap called '{name}'; there are: {names}.")


def _plain(word: Any) -> str:
    return " ".join(str(word).replace("_", " ").split()).casefold()


def _given(word: Any) -> bool:
    """Whether a cell says that something is there."""
    if word is None or (isinstance(word, float) and math.isnan(word)):
        return False
    return _plain(word) not in ("", "none")


def is_a(word: Any, material: str) -> bool:
    """Whether a word of a table names a material ("iron", "lye", "acid" ...)."""
    return _given(word) and _names(_plain(word), material)


@lru_cache(maxsize=4096)
def _names(plain: str, material: str) -> bool:
    words = _data()["materials"][material]
    if material == "strong lye":  # "ash lye" is weaker and not meant
        return plain in words
    return any(re.search(rf"(?<!\w){re.escape(w)}(?!\w)", plain) for w in words)


def family(fibre: Any) -> str:
    """ "protein", "cellulose" or "" for a fibre's name."""
    return _family(_plain(fibre))


@lru_cache(maxsize=1024)
def _family(plain: str) -> str:
    same = {"flax": "linen", "merino": "wool", "rayon": "viscose", "tussah": "silk"}
    plain = same.get(plain, plain)
    for name, fibres in _data()["families"].items():
        if any(re.search(rf"(?<!\w){f}(?!\w)", plain) for f in fibres):
            return str(name)
    return ""


def _is_silk(fibre: Any) -> bool:
    return "silk" in _plain(fibre) or _plain(fibre) == "tussah"


def _number(conditions: Mapping[str, Any], name: str) -> float:
    """A number of the bath; NaN where it is not given."""
    value = conditions.get(name)
    if not _given(value):
        return 0.0 if value is not None and _plain(value) == "none" else math.nan
    try:
        return float(value)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        return math.nan  # unreadable cells are refused where a table is read, not here


def _slots(conditions: Mapping[str, Any], base: str) -> list[str]:
    return ["", *(f"_{k}" for k in range(2, 10) if f"{base}_{k}" in conditions)]


def _materials(conditions: Mapping[str, Any]) -> list[Any]:
    names = [
        "mordant",
        "tannin",
        "assist",
        *(f"modifier{s}" for s in _slots(conditions, "modifier")),
    ]
    return [conditions.get(n) for n in names]


def _dyestuffs(conditions: Mapping[str, Any]) -> list[Any]:
    return [conditions.get(f"dyestuff{s}") for s in _slots(conditions, "dyestuff")]


def _facts(conditions: Mapping[str, Any]) -> set[str]:
    """Which of the situations in the data hold for a bath."""
    used, dyes = _materials(conditions), _dyestuffs(conditions)
    fibre = conditions.get("fibre")
    kind, silk = family(fibre), _is_silk(fibre)
    heat = _number(conditions, "temperature_C")
    hot = math.isnan(heat) or heat > cap("hot")

    def has(material: str) -> bool:
        return any(is_a(w, material) for w in used)

    iron = has("iron") or is_a(conditions.get("vessel"), "iron")
    pHs = [_number(conditions, "pH"), _number(conditions, "wash_pH")]
    pHs += [_number(conditions, f"modifier_pH{s}") for s in _slots(conditions, "modifier")]
    alkali = has("lye") or has("soda") or has("ammonia") or any(p > 8 for p in pHs)
    forms = [conditions.get(f"dyestuff_form{s}") for s in _slots(conditions, "dyestuff")]
    listed = {_plain(w) for w in _data()["known_dyestuffs"]}
    true = {
        "always": True,
        "iron": iron,
        "iron on silk or cellulose": iron and (silk or kind == "cellulose"),
        "iron on wool": iron and kind == "protein" and not silk,
        "iron liquor": has("iron liquor"),
        "lye": has("lye"),
        "lye on silk": has("lye") and silk,
        "soda": has("soda"),
        "ammonia": has("ammonia"),
        "alkali on protein": alkali and kind == "protein",
        "acid": has("acid"),
        "acid on cellulose": has("acid") and kind == "cellulose",
        "acid and alkali": has("acid") and (has("lye") or has("soda")),
        "bleach, acid or ammonia": has("bleach") or has("acid") or has("ammonia"),
        "alkali or acid": alkali or has("acid"),
        "powder": has("alum")
        or has("tannin")
        or iron
        or has("soda")
        or any(_plain(f) in ("powder", "extract") for f in forms if _given(f)),
        "hot": hot,
        "hot wool": kind == "protein" and not silk and hot,
        "hot silk": silk and hot,
        "madder": any("madder" in _plain(d) for d in dyes if _given(d)),
        "logwood": any("logwood" in _plain(d) for d in dyes if _given(d)),
        "never suggested": bool(_never(conditions)),
        "plant not listed": any(_plain(d) not in listed for d in dyes if _given(d)),
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
        for c in _data()["cautions"]
        if c["when"] in facts
    ]


def _never(conditions: Mapping[str, Any]) -> tuple[str, ...]:
    used = [*_materials(conditions), *_dyestuffs(conditions)]
    return _never_among(tuple(str(w) for w in used if _given(w)))


@lru_cache(maxsize=4096)
def _never_among(words: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(m for m in _data()["never_suggested"] if any(is_a(w, m) for w in words))


def breaks_caps(conditions: Mapping[str, Any], *, browns: bool = False) -> list[str]:
    """Why a bath may not be suggested, one sentence for each reason; empty if it may.

    browns : browns are asked for, so madder may go above its heat.
    Unknown amounts, heats and pH do not break a cap; the caller gives what it suggests.
    """
    said = [f"{m} is never suggested" for m in _never(conditions)]
    strange = {_plain(w) for w in _data()["unknown_dyestuffs"]}
    if any(_plain(d) in strange for d in _dyestuffs(conditions) if _given(d)):
        said.append("an unknown plant is never suggested")
    fibre = conditions.get("fibre")
    kind, silk = family(fibre), _is_silk(fibre)
    iron = iron_total(conditions)
    name = "iron on wool" if kind == "protein" and not silk else "iron on silk and cellulose"
    if iron > cap(name) + 1e-9:
        said.append(f"iron over {cap(name):g} % is not suggested on {fibre}")
    heat = _number(conditions, "temperature_C")
    if kind == "protein":
        said += _protein(conditions, silk, heat)
    if "madder" in "".join(_plain(d) for d in _dyestuffs(conditions)) and not browns:
        if heat > cap("heat for madder") + 1e-9:
            limit = cap("heat for madder")
            said.append(f"madder over {limit:g} °C turns brown and is not suggested")
    if str(conditions.get("vessel") or "").casefold() in ("aluminium", "aluminum", "galvanised"):
        if _facts(conditions) & {"alkali or acid"}:
            said.append("lye, soda or acid in an aluminium or galvanised pot is not suggested")
    return said


def iron_total(conditions: Mapping[str, Any]) -> float:
    """Iron of the mordant and all after-baths together, percent owf; unknown amounts count 0."""
    total = 0.0
    pairs = [("mordant", "mordant_owf")]
    pairs += [(f"modifier{s}", f"modifier_owf{s}") for s in _slots(conditions, "modifier")]
    for name, amount in pairs:
        if is_a(conditions.get(name), "iron"):
            value = _number(conditions, amount)
            total += 0.0 if math.isnan(value) else value
    return total


def _protein(conditions: Mapping[str, Any], silk: bool, heat: float) -> list[str]:
    said = []
    fibre = conditions.get("fibre")
    limit = cap("heat for silk" if silk else "heat for wool")
    if heat > limit + 1e-9:
        said.append(f"over {limit:g} °C is not suggested for {fibre}")
    hot_pH, cool_pH = cap("hot pH for wool and silk"), cap("cool pH for wool and silk")
    bath_pH = _number(conditions, "pH")
    highest = hot_pH if math.isnan(heat) or heat > cap("hot") else cool_pH
    if bath_pH > highest + 1e-9:
        said.append(f"a dye bath over pH {highest:g} at this heat is not suggested for {fibre}")
    for slot in _slots(conditions, "modifier"):
        kind = conditions.get(f"modifier{slot}")
        if (silk and is_a(kind, "lye")) or is_a(kind, "strong lye"):
            said.append(f"{kind} on {fibre} is not suggested")
        if _given(kind) and _number(conditions, f"modifier_pH{slot}") > cool_pH + 1e-9:
            said.append(f"an after-bath over pH {cool_pH:g} is not suggested for {fibre}")
    return said
