"""The parts of recorded baths that keep to the limits on words, to put new baths together from."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from ...conditions.columns import column
from ...conditions.vocabulary import meaning
from ...errors import BadValue
from .columns import NAMED, Bath, base_of, is_word, owner_of, there
from .limits import Limit
from .ranges import Ranges, typical_pH


def parts_of(
    rows: Sequence[Bath],
    mine: re.Pattern[str],
    limits: Mapping[str, Limit],
    ranges: Ranges,
    needed: Iterable[str],
) -> list[Bath]:
    """The parts of recorded baths, in the columns `mine`, that keep to the limits on words.

    A word that was never used is put in place of the recorded one. The limits are taken one by
    one in an order of our own, what was used before how it came, so that theirs changes nothing.
    needed : columns that must name something. Raises BadValue where nothing can be put together.
    """
    parts = [{n: v for n, v in row.items() if mine.fullmatch(n)} for row in rows]
    words = [n for n in limits if mine.fullmatch(n) and is_word(n)]
    for name in sorted(words, key=lambda n: (base_of(n) not in NAMED, n)):
        limit, before = limits[name], parts
        parts = [p for p in before if limit.holds(name, p.get(name, ""))]
        for choice in limit.choices:
            if any(meaning(name, str(p.get(name, ""))) == meaning(name, choice) for p in parts):
                continue
            _dyed(rows, name, choice, limits, ranges)
            base = [p for p in before if not _is_another(p, name, choice)]
            if not base and choice == limit.choices[-1] and not parts:
                raise BadValue(
                    f"{name} would be {choice} beside {choice}; name two dyestuffs that differ."
                )
            parts = parts + [_with_word(p, name, choice, ranges) for p in base]
    for owner in sorted(n for n in needed if mine.fullmatch(n)):
        parts = [p for p in parts if there(p, owner)]
        if not parts:
            raise BadValue(
                f"A limit asks for a {owner.replace('_', ' ')}, and none of your swatches has "
                f"one; name one with a limit on {owner}."
            )
    return parts


def _dyed(
    rows: Sequence[Bath], name: str, choice: str, limits: Mapping[str, Limit], ranges: Ranges
) -> None:
    """Refuse a dyestuff that is not on record: nothing can be said of its colour."""
    word = meaning(name, choice)
    if base_of(name) != "dyestuff" or (word == "none" and name != "dyestuff"):
        return
    cells = ((n, v) for row in rows for n, v in row.items() if base_of(n) == "dyestuff")
    if not any(meaning(n, str(v)) == word for n, v in cells):
        raise BadValue(
            f"'{choice}' is on none of your swatches, so nothing can be said of its colours. "
            "Dye a few samples with it first, or name a dyestuff you have used."
        )
    amount = name.replace("dyestuff", "dye_owf", 1)
    if word != "none" and ("dye_owf", word) not in ranges and amount not in limits:
        raise BadValue(
            f"How much {choice} was used is on none of your swatches; limit {amount} too."
        )


def _is_another(part: Bath, name: str, choice: str) -> bool:
    """Whether a dyestuff is in the part already, under another number."""
    if base_of(name) != "dyestuff" or meaning(name, choice) == "none":
        return False
    others = (n for n in part if base_of(n) == "dyestuff" and n != name)
    return any(meaning(n, str(part[n])) == meaning(name, choice) for n in others)


def _with_word(part: Bath, name: str, choice: str, ranges: Ranges) -> Bath:
    """The part of a bath with another word in it, without what described the old one."""
    base, word = base_of(name), meaning(name, choice)
    if base == "fibre":
        return {name: choice}
    out = {**part, name: choice}
    if base == "dyestuff":
        described = [name.replace("dyestuff", f"dyestuff_{k}", 1) for k in ("form", "lot")]
        out = {n: v for n, v in out.items() if n not in described}
    if base not in NAMED:
        return out
    if word == "none":
        how = name.replace("dyestuff", "dye", 1) + "_how"
        return {n: v for n, v in out.items() if owner_of(n) != name and n != how}
    amount = name.replace(base, "dye_owf" if base == "dyestuff" else f"{base}_owf", 1)
    if out.get(amount) == 0:  # there was none of the old one
        del out[amount]
    _into_range(out, amount, ranges.get((base_of(amount), word)))
    if base == "modifier":
        pH = name.replace(base, "modifier_pH", 1)
        about, read = column(pH), ranges.get(("modifier_pH", word))
        assert about is not None and about.scale is not None
        typical = typical_pH(word)
        if read is None and typical is not None:
            u = float(about.scale.to_unit(typical))
            read = (u, u) if ("modifier_pH", "") in ranges else None
        _into_range(out, pH, read)
        minutes = name.replace(base, "modifier_minutes", 1)
        if minutes not in out:
            of_any = ranges.get(("modifier_minutes", ""))
            _into_range(out, minutes, ranges.get(("modifier_minutes", word), of_any))
    return out


def _into_range(part: Bath, name: str, within: tuple[float, float] | None) -> None:
    """Put the middle of a range where there is no number or one outside of it."""
    about = column(name)
    if within is None or about is None or about.scale is None:
        return
    low, high = within
    if name not in part or not low <= float(about.scale.to_unit(part[name])) <= high:
        part[name] = float(f"{float(about.scale.from_unit((low + high) / 2)):.10g}")
