"""A step made of what a diary line told."""

from __future__ import annotations

from typing import Any

from ...conditions.columns import column
from ...conditions.trade_words import spelt, uses_of
from ...conditions.vocabulary import WORDS, meaning, resembles
from ..step import Material, Step
from .facts import HEAT_WORDS
from .told import Named, Told

# How far from its word a heat may be told, in C: water boils at 85 C on a high mountain, and a
# cold room has 5 (common practice, no source).
_WORD_APART = 16.0
_DAY = 1440.0
# What is dyed in a vat.
_BLUE = ("indigo", "woad", "japanese indigo")
# Treatments whose parts may be any words: nothing of the colour hangs on them.
_FREE = ("rinse", "wash", "dry")
# Fields of a step and the table's column that says what they may be.
_COLUMN = {
    "pH": "pH", "pH_end": "pH", "temperature_C": "temperature_C", "minutes": "minutes",
    "liquor_ratio": "liquor_ratio", "bath_number": "bath_number", "dips": "vat_dips",
    "dip_minutes": "vat_dip_minutes", "stock_days": "stock_days", "vat_days": "vat_days",
}  # fmt: skip


def step_of(kind: str, told: Told, known: frozenset[str]) -> Step:
    """The step of a kind that a line tells of. known : names that need no asking.

    Raises BadValue where something named has no place in such a step.
    """
    dunging = kind == "dunging"
    kind = "mordant" if dunging else kind
    facts = dict(told.facts)
    facts.pop("raised in", None)
    if facts.pop("used", False) and facts.setdefault("bath_number", 2.0) < 2:
        raise told.refuse("a bath that was used before is no fresh one; keep one of the two.")
    times = facts.pop("times", None)
    if times and not any("vat" in n.words.split() or meaning("dyestuff", n.words) in _BLUE
                         for n in told.named):  # fmt: skip
        raise told.refuse(f"'{times}': was that one bath? Then write its whole time.")
    told.vat |= kind == "dye" and any(n in facts for n in ("dips", "dip_minutes"))
    _settle(facts, told, kind)
    if facts.get("dips") is not None and kind == "mordant":
        raise told.refuse(
            "layers of a mordant change its amount; write one line for each layer, or give the "
            "amount of all together."
        )
    told.named = [n for n in told.named if not _said_by_another(n, told)]
    named = [n for n in told.named if not _kept_as_note(n, kind, told, known)]
    if told.vat and kind != "dye":
        raise told.refuse("a vat and another treatment are told; write each on a line of its own.")
    if told.vat:
        return _vat(named, facts, told)
    materials = tuple(_material(n, kind, facts, told, known, dunging) for n in named)
    if kind == "dye":
        materials = _dyed(materials, told)
    if kind in ("mordant", "after-bath", "dye") and not materials and not facts:
        raise told.refuse(f"nothing is told of it. Write such as {_EXAMPLE[kind]}.")
    _check(facts, told)
    return Step(kind, materials, note="; ".join(told.notes), typed=told.line, **facts)


# Words that stand between two things, or take one away; a name with one may be no name.
_JOINS = frozenset(
    "over after before half or not no without and with from on instead then maybe perhaps less "
    "more than under min max nearly almost between most least either".split()
)
_EXAMPLE = {
    "mordant": "mordant: alum 12 %, 80 C, 1 h", "dye": "dye: weld 80 %, 80 C, 1 h",
    "after-bath": "after-bath: iron 2 %, 10 min",
}  # fmt: skip


def _settle(facts: dict[str, Any], told: Told, kind: str) -> None:
    """Facts whose meaning hangs on the rest of the line: days, words of heat, a rest."""
    days = facts.pop("days", None)
    if days is not None:
        facts["vat_days" if told.vat else "stock_days"] = float(f"{days:.6g}")
    heat = facts.get("heat")
    if heat is not None and "temperature_C" not in facts and HEAT_WORDS[heat] is not None:
        facts["temperature_C"] = HEAT_WORDS[heat]
    degrees = None if heat is None else HEAT_WORDS[heat]
    if degrees is not None and abs(facts["temperature_C"] - degrees) > _WORD_APART:
        raise told.refuse(
            f"'{heat}' and {facts['temperature_C']:g} C do not go together; keep one."
        )
    rest, said = facts.pop("resting word", None), facts.pop("resting said", "")
    if told.resting is not None:
        # With the heat turned off, the night in the pot is no time at that heat.
        if "minutes" in facts or any("off" in note.split() for note in told.notes):
            told.note(said)
        else:
            facts["minutes"] = told.resting
            if rest:
                facts["duration"] = rest
    if told.vat and "minutes" in facts:
        minutes = facts.pop("minutes")
        facts.pop("duration", None)
        if minutes >= _DAY:
            raise told.refuse(
                "days of a vat may be its age or the time of its dips; write 3 days old, and the "
                "dips as 5 dips of 10 min."
            )
        if facts.get("dip_minutes", minutes) != minutes:
            raise told.refuse("dips of two lengths are told; write one line for each length.")
        facts["dip_minutes"] = minutes
    litres = facts.get("litres")
    if litres is not None and told.fibre_g and "liquor_ratio" not in facts:
        facts["liquor_ratio"] = float(f"{litres * 1000 / told.fibre_g:.6g}")


def _said_by_another(named: Named, told: Told) -> bool:
    """Whether a line says "tannin" of a tannin that it names: tannin from oak bark 30 %."""
    others = [n for n in told.named if n is not named and "tannin" in uses_of(n.words)]
    return named.words.casefold() == "tannin" and not named.has_amount and bool(others)


def _kept_as_note(named: Named, kind: str, told: Told, known: frozenset[str]) -> bool:
    """Whether words are a remark: any, of a rinse or of drying; never where an amount is told."""
    if kind not in _FREE or named.has_amount or named.quoted or named.none:
        return False
    if uses_of(named.words) or named.words.casefold() in known:
        return False
    parts = [p for p in told.line.replace(";", ",").split(",") if named.words in p]
    told.note(parts[0].partition(":")[2].strip() or parts[0].strip() if parts else named.words)
    return True


def _owf(named: Named, facts: dict[str, Any], told: Told) -> float | None:
    """Percent on the weight of fibre, or None where what was told does not give it."""
    value = named.percent
    fibre = told.fibre_g
    if named.grams is not None and fibre:
        value = named.grams * 100 / fibre
    elif named.ml is not None and named.strength is not None and fibre:
        value = named.ml * named.strength / fibre
    elif named.grams_litre is not None and facts.get("liquor_ratio"):
        value = named.grams_litre * facts["liquor_ratio"] / 10
    if value is None:
        return None
    value = float(f"{value:.6g}")
    if not 0 < value <= 1000:
        raise told.refuse(f"{named.amount} is no amount above 0 and up to 1000 % owf.")
    return value


def _material(
    named: Named, kind: str, facts: dict[str, Any], told: Told, known: frozenset[str], dunging: bool
) -> Material:
    """What is named, in the use it has in such a step."""
    uses = uses_of(named.words)
    first = told.named[0] is named
    if named.none:
        role = {"mordant": "tannin" if told.tannin else "mordant", "after-bath": "modifier",
                "dye": "dyestuff"}.get(kind, "other")  # fmt: skip
        return Material(role, "none")
    sure = bool(uses) or named.quoted or named.words.casefold() in known
    if not sure:
        _ask(named, kind, told, first)
    role = _role(named, kind, uses, told, dunging)
    owf = _owf(named, facts, told)
    share = any(w in (named.amount or "") for w in (":", "weight"))  # 1:1, half the weight
    plain = named.percent is not None and not share
    return Material(
        role,
        named.words,
        owf,
        named.form,
        named.lot,
        strip=named.strip,
        told=None if plain or named.amount is None else named.amount,
    )


def _ask(named: Named, kind: str, told: Told, first: bool) -> None:
    """Ask about a word that is not known, unless a line cannot mean anything else by it."""
    use = {"mordant": "mordant", "dye": "dyestuff", "after-bath": "modifier"}.get(kind, "scour")
    near = resembles(use, named.words)
    if near:
        raise told.refuse(
            f"'{named.words}' is not known; is it {near}? If not, write it in quotation marks: "
            f'"{named.words}".'
        )
    words = spelt(named.words).split()
    if _JOINS & set(words) and (len(words) > 1 or named.has_amount):
        raise told.refuse(
            f"'{named.words}' may be two things. Write each with its amount, or a line for each "
            f'treatment; if it is one name, in quotation marks: "{named.words}".'
        )
    alone = sum(not uses_of(n.words) and not n.quoted for n in told.named) == 1
    other = any(use in uses_of(n.words) for n in told.named)
    if named.has_amount and first and alone and not other:
        return
    raise told.refuse(
        f"'{named.words}' is no fact and no material known here. If it is a material, write it "
        f'with its amount or in quotation marks: "{named.words}"; if it is a remark, write '
        f"note: {named.words}."
    )


def _role(named: Named, kind: str, uses: frozenset[str], told: Told, dunging: bool) -> str:
    if kind == "scour" and uses and uses <= {"dyestuff", "mordant", "tannin"}:
        raise told.refuse(_misplaced(named, "a scour", "mordant: or dye:"))
    if kind in ("scour", *_FREE):
        return "other"
    if dunging:
        return "assist"
    if not uses:
        return {"mordant": "tannin" if told.tannin else "mordant", "dye": "dyestuff"}.get(
            kind, "modifier"
        )
    if kind == "after-bath":
        if uses & {"modifier", "tannin", "mordant", "assist"}:
            return "modifier"
        raise told.refuse(_misplaced(named, "an after-bath", "dye: or overdye:"))
    if kind == "mordant":
        if "tannin" in uses and (told.tannin or "mordant" not in uses):
            return "tannin"
        if "mordant" in uses:
            return "mordant"
        if uses & {"assist", "modifier", "vat-part", "scour"}:
            return "assist"
        raise told.refuse(_misplaced(named, "a mordant", "dye:"))
    if "dyestuff" in uses:
        return "dyestuff"
    if "mordant" in uses:
        return "mordant"
    if uses & {"assist", "modifier", "scour"}:
        return "assist"
    if "tannin" in uses:
        return "tannin" if any("dyestuff" in uses_of(n.words) for n in told.named) else "dyestuff"
    raise told.refuse(_misplaced(named, "a dye bath", "vat:"))


def _misplaced(named: Named, where: str, begin: str) -> str:
    return (
        f"'{named.words}' is not known as a part of {where}. Begin with {begin}, or write it in "
        f'quotation marks: "{named.words}".'
    )


def _dyed(materials: tuple[Material, ...], told: Told) -> tuple[Material, ...]:
    if materials and not any(m.role == "dyestuff" for m in materials):
        raise told.refuse(
            f"{materials[0].name} is no dyestuff, and no other is named. Name the dyestuff, or "
            "begin with mordant: or after-bath:."
        )
    return materials


def _vat(named: list[Named], facts: dict[str, Any], told: Told) -> Step:
    """A vat: what was dyed in it, its reducer, and what else was in it."""
    dyestuffs: list[Material] = []
    reducers: list[str] = []
    beside: list[str] = []
    for one in named:
        if one.has_amount:
            raise told.refuse(
                f"{one.amount} of {one.words}: an amount in a vat says nothing of the fibre. Tell "
                f"of the dips, and keep the amount as note: {one.words} {one.amount}."
            )
        uses = uses_of(one.words)
        if one.none:
            raise told.refuse("a vat of nothing cannot be; leave the line out.")
        blue = meaning("dyestuff", one.words) in _BLUE and "reducer" not in uses
        her_word = one.quoted and not one.reducer and (not uses or uses == {"dyestuff"})
        if blue or her_word:
            dyestuffs.append(Material("dyestuff", one.words, None, one.form, one.lot))
        elif one.reducer or ("reducer" in uses and not ("vat-part" in uses and reducers)):
            reducers.append(meaning("vat", one.words))
        elif uses & {"vat-part", "assist", "modifier"}:
            beside.append(one.words)
        elif meaning("vat", one.words) in WORDS["vat"]:
            reducers.append(meaning("vat", one.words))
        else:
            raise told.refuse(
                f"'{one.words}' is not known of a vat. If it is what dyed, write it in quotation "
                f'marks: "{one.words}"; if it is a remark, write note: {one.words}.'
            )
    if not dyestuffs:
        raise told.refuse("say what the vat was of, such as indigo or woad.")
    facts["vat"] = " and ".join(dict.fromkeys(reducers)) or None
    facts["vat_with"] = " and ".join(dict.fromkeys(beside)) or None
    if not any(facts.get(n) is not None for n in ("vat", "dips", "dip_minutes", "vat_days")):
        facts["vat"] = "unnamed"
    _check(facts, told)
    given = {k: v for k, v in facts.items() if v is not None}
    return Step("dye", tuple(dyestuffs), note="; ".join(told.notes), typed=told.line, **given)


def _check(facts: dict[str, Any], told: Told) -> None:
    for name, about in ((n, column(c)) for n, c in _COLUMN.items()):
        value = facts.get(name)
        if value is None or about is None or about.recorded is None:
            continue
        low, high = about.recorded
        if not low <= value <= high or (about.above and value == low):
            raise told.refuse(f"{name.replace('_', ' ')} {value:g} is not {about.allowed}.")
        if about.whole and value != int(value):
            raise told.refuse(f"{value:g} is no whole number of {name.replace('_', ' ')}.")
    for pair in (("pH_read", "pH"),):
        if pair[0] in facts and pair[1] not in facts and "pH_end" not in facts:
            raise told.refuse("a strip or meter is told and no pH.")
