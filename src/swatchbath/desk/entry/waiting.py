"""What still has to be done about each swatch, and what to do with the first three."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Any

from ...library import Library, Swatch
from .row_writer import existing

__all__ = ["FIRST_STEPS", "states_of", "waiting"]

# What may be said of a swatch, in the order it is listed.
STATES = {
    "to be described": "photographed, and nothing told of the bath",
    "to be typed in": "the bath stands on a photo of the pot sheet",
    "to be photographed": "the bath is told, and no photo taken",
    "to be measured": "photographed, and no colour read dry",
    "given out": "a code on a tag, and nothing else yet",
}
FIRST_STEPS = (
    "This library is empty. Start with three swatches, such as one recipe with three amounts: "
    "1. Give out their codes, and write each on a tag before it goes into the pot: "
    "swatchbath codes 3.",
    "2. Tell of the pot in one go: swatchbath pot --codes A,B,C --fibre wool "
    '--step "mordant: alum 12 %" --step "dye: weld 80 %, 80 C, 1 h" --after none '
    '--after "iron 2 %, 10 min" --after "ash lye, 5 min". The cautions it shows come first.',
    "3. When they are dry, lay them on the photo sheet beside a grey card and photograph them in "
    "open shade: swatchbath sheet --codes A,B,C, then swatchbath photos PHOTO.",
)


def states_of(swatch: Swatch) -> tuple[str, ...]:
    """What is still to be done about a swatch, as words of `STATES`; empty when all is there."""
    shown = {what for _, what in swatch.shown}
    seen = "swatch" in shown or bool(swatch.measurements)
    said = []
    if not swatch.has_bath:
        if "pot sheet" in shown:
            said.append("to be typed in")
        elif seen:
            said.append("to be described")
        else:
            return ("given out",)
    if not seen:
        said.append("to be photographed")
    elif swatch.measured is None:
        said.append("to be measured")
    return tuple(said)


def waiting(library: Library | str | Path) -> dict[str, Any]:
    """What each swatch still waits for; the first steps where there is none. Plain values.

    library : one that is open, or its folder, which may not be there yet.
    """
    with ExitStack() as stack:
        lib = existing(stack, library)
        every = [] if lib is None else [s for s, _ in lib.find(k=max(len(lib), 1))]
    lists: dict[str, list[dict[str, Any]]] = {state: [] for state in STATES}
    for swatch in reversed(every):
        for state in states_of(swatch):
            lists[state].append(
                {
                    "code": swatch.code,
                    "name": swatch.name,
                    "photos": [name for name, _ in swatch.shown],
                    "knots": swatch.conditions.get("knots"),
                }
            )
    return {
        "swatches": len(every),
        "waiting": {state: found for state, found in lists.items() if found},
        "first_steps": [] if every else list(FIRST_STEPS),
    }
