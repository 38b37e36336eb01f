"""How close it must be for her own eye, from pairs that she judged herself."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

# So many pairs, of both kinds, before a value of her own is offered. Our own choice.
FEWEST_JUDGED = 10


def own_tolerance(judged: Sequence[dict[str, Any]]) -> float | None:
    """The tolerance that parts what she called a match from what she called apart with the fewest
    pairs on the wrong side; of several, the middle one. None before there are ten pairs of both
    kinds. judged : pairs with delta_e2000 and verdict "match" or "apart"."""
    sizes = np.array([j["delta_e2000"] for j in judged], dtype=float)
    alike = np.array([j["verdict"] == "match" for j in judged], dtype=bool)
    if len(judged) < FEWEST_JUDGED or alike.all() or not alike.any():
        return None
    ends = np.concatenate([[0.0], np.sort(sizes), [sizes.max() + 1.0]])
    between = (ends[1:] + ends[:-1]) / 2
    wrong = np.array([np.sum((sizes <= t) != alike) for t in between])
    best = between[wrong == wrong.min()]
    return round(float(np.median(best)), 1)


def eye_words(judged: Sequence[dict[str, Any]]) -> str:
    """What the pairs she judged say, in a sentence; "" before there are any."""
    if not judged:
        return ""
    own = own_tolerance(judged)
    if own is None:
        return (
            f"{len(judged)} pair{'s' * (len(judged) != 1)} judged by your own eye; from "
            f"{FEWEST_JUDGED} on, of both kinds, a tolerance of your own is offered."
        )
    return (
        f"By {len(judged)} pairs that you judged yourself, your own eye parts them at {own:g}: "
        f"--tolerance {own:g}."
    )
