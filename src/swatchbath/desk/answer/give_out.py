"""A code for a suggestion that is dyed next, which keeps what was said until the pot is dry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ...errors import BadValue
from ...library import Library
from ..entry.came_out import KEPT, typed_shade
from ..text.parse import Target


def give_out(
    library: Library, target: Target, payload: Mapping[str, Any], number: int
) -> dict[str, Any]:
    """Give out a code for one idea of an answer, and keep with it the shade, the bath, the expected
    colour, the chance and the tolerance; plain values.

    payload : the answer as values. number : of the idea, from 1. Raises BadValue where there is no
    such idea, or one of another colour, for which nothing is weighed.
    """
    ideas = payload["ideas"]
    if not 1 <= number <= len(ideas):
        have = f"there are {len(ideas)}" if ideas else "there is none"
        raise BadValue(f"No idea {number} was told, so no code is given out for it; {have}.")
    idea = ideas[number - 1]
    if idea["far_off"]:
        raise BadValue(f"No code is given out for idea {number}. {idea['far_off']}")
    typed = typed_shade(target.code, target.lab)
    said = {
        "asked": {"called": target.called, "typed": typed, "lab": target.lab.tolist()},
        "tolerance": payload["tolerance"],
    } | {name: idea[name] for name in KEPT}
    with library.atomic():
        code = library.add_swatch()
        library.keep_suggestion(code, said)
    return {
        "code": code,
        "name": None,
        "idea": number,
        "words": f"Write {code} on the tag of idea {number}. It keeps what was asked and expected.",
        "next": f"Next: when the pot is dyed as told here: swatchbath pot --codes {code}",
    }
