"""How a person measures an amount: weighed, as a stock, or as a part of what can be weighed.

Shared by what is told of one bath and by a pot day, so that both say it alike.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

# An amount is rounded to what the scale shows by this share at the most; our own choice, about
# what a pot of one recipe varies by.
OFF = 0.1
# A share that three digits of a percent do not show.
SAME = 0.005
# A stock holds 10 g in a litre, 1 %, and is measured with a syringe or a jug; common practice, no
# source.
STOCK_G, _LEAST_ML, MOST_ML = 10.0, 0.5, 200.0
PARTS = {2: "half", 3: "a third", 4: "a quarter", 5: "a fifth", 10: "a tenth"}
# How much nearer (a share) a finer part must come to be worth its trouble beside a half; our own
# choice. Added to what a part is off by, so that what was made of an amount stays as it is: from
# there no other part comes out the better that did not before.
_TROUBLE = {2: 0.0, 3: 0.02, 4: 0.03, 5: 0.06, 10: 0.12}
# A kitchen's scale shows whole grams; from this share of an amount a weight that is
# off is no weight (common practice, no source). More stock than this is no jugful.
KITCHEN_SCALE_G, _KITCHEN_OFF, _KITCHEN_ML = 1.0, 0.05, 500.0
# Additions that dissolve, so that they can be measured so; common practice, no source.
_DISSOLVES = re.compile(
    r"alum|alumin|iron|soda|tartar|citric|vinegar|lactate|acetate|sulphate|salt"
)


@dataclass(frozen=True)
class Measure:
    """An amount as it can be measured: grams, in words, and whether it is of a stock."""

    grams: float
    how: str
    stock: bool = False


def dissolves(role: str, word: str) -> bool:
    """Whether it can be measured as a stock; role : as a material's, or a column's name."""
    return not role.startswith("dyestuff") and bool(_DISSOLVES.search(word.casefold()))


def measures(
    grams: float,
    scale_g: float,
    *,
    as_stock: bool,
    off: float = OFF,
    most_ml: float = MOST_ML,
    parts: Sequence[int] = tuple(PARTS),
) -> Iterator[Measure]:
    """The ways to measure so many grams on a scale with such a step, the plainest first: weighed,
    as a stock (`as_stock`: where it dissolves), as a part of what is weighed, the nearest first,
    with a half somewhat before a third and so on."""
    # Half a percent short of it, so that 10 g in three, told as 3.33 g, does not become 3 g.
    yield from (Measure(g, f"{g:.4g} g") for g in _near(grams, scale_g, off - SAME))
    if as_stock and any(_near(STOCK_G, scale_g, off)):
        ml = grams / STOCK_G * 1000
        if _LEAST_ML <= ml <= most_ml:
            yield Measure(float(f"{grams:.6g}"), stock_words(grams), stock=True)
    wholes = [(n, whole) for n in parts for whole in _near(grams * n, scale_g, off)]
    for n, whole in sorted(wholes, key=lambda w: abs(w[1] / w[0] / grams - 1) + _TROUBLE[w[0]]):
        part = float(f"{whole / n:.6g}")
        yield Measure(part, f"{part:.4g} g (weigh {whole:g} g and take {PARTS[n]} of it)")


def stock_words(grams: float) -> str:
    """So many grams as a stock: "150 ml of 1 % stock".

    >>> stock_words(1.5), stock_words(0.0333)
    ('150 ml of 1 % stock', '3.33 ml of 1 % stock')
    """
    ml = grams / STOCK_G * 1000
    if ml < 1000:
        return f"{ml:.3g} ml of 1 % stock"
    litres = f"{ml / 1000:.3g}"
    return f"{litres} litre{'' if litres == '1' else 's'} of 1 % stock"


def in_kitchen(grams: float, *, as_stock: bool, always_stock: bool = False) -> Measure | None:
    """An amount on a scale that shows whole grams; None where neither that nor a stock will do.

    always_stock : she measured it so before.
    """
    if as_stock and always_stock and grams / STOCK_G * 1000 >= _LEAST_ML:
        return Measure(grams, stock_words(grams), stock=True)
    ways = measures(
        grams, KITCHEN_SCALE_G, as_stock=as_stock, off=_KITCHEN_OFF, most_ml=_KITCHEN_ML, parts=()
    )
    return next(ways, None)


def _near(grams: float, scale_g: float, off: float) -> Iterator[float]:
    """What a scale with such a step can show near so many grams, the nearest first."""
    steps = grams / scale_g
    for n in dict.fromkeys((round(steps), math.floor(steps), math.ceil(steps))):
        if n > 0 and abs(n * scale_g - grams) <= off * grams:
            yield float(f"{n * scale_g:.10g}")
