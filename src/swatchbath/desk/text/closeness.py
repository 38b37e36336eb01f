"""How close colours must be for what they are for, in CIEDE2000 and in words."""

from __future__ import annotations

from ...errors import BadValue

# What is asked of a pair -> the difference that still passes, and the words of it. Our own choice
# (CIEDE2000 with all weights 1): one of 2 is just seen side by side, one of 4 passes apart in time,
# within 8 a colour keeps its name.
CLOSENESS = {
    "garment": (2.0, "for one garment"),
    "customer": (4.0, "as one shade to a customer"),
    "family": (8.0, "as one family of shades"),
}
# The widest that still asks anything. Our own choice.
WIDEST = 30.0


def closeness(
    tolerance: float | None, purpose: str | None, *, usual: str = "garment"
) -> tuple[float, str]:
    """The difference that still passes, and its words: "for one garment (any difference under 2)".

    tolerance : hers, in CIEDE2000; purpose : a word of CLOSENESS; `usual` where neither is given.
    Raises BadValue for both, and for what cannot be.

    >>> closeness(None, "customer")
    (4.0, 'as one shade to a customer (any difference under 4)')
    >>> closeness(3.0, None)[1]
    'within 3'
    """
    if tolerance is not None and purpose is not None:
        raise BadValue(
            f"How close they must be is given twice: {tolerance:g}, and {purpose}. Leave one out."
        )
    if purpose is not None and purpose not in CLOSENESS:
        raise BadValue(
            f"'{purpose}' is nothing known here; what they are for is one of "
            f"{', '.join(CLOSENESS)}."
        )
    if tolerance is None:
        value, words = CLOSENESS[purpose or usual]
        return value, f"{words} (any difference under {value:g})"
    if not 0 < tolerance <= WIDEST:
        raise BadValue(
            f"How close they must be is {tolerance:g}; give a difference (CIEDE2000) above 0 and "
            f"up to {WIDEST:g}, such as 2."
        )
    for value, words in CLOSENESS.values():
        if value == tolerance:
            return value, f"{words} (any difference under {value:g})"
    return float(tolerance), f"within {tolerance:g}"
