"""What still has to be done about each swatch, and what to do with the first three."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Any

from ...library import Library
from ..text.wording import WAITS, waits_of
from .came_out import promise_words
from .row_writer import existing

_FIRST_STEPS = (
    "This library is empty. Start with three swatches, such as one recipe with three amounts: "
    "1. Give out their codes, and write each on a tag before it goes into the pot: "
    "swatchbath codes 3.",
    "2. Record the pot in one go: swatchbath pot --codes A,B,C --fibre wool "
    '--step "mordant: alum 12 %" --step "dye: weld 80 %, 80 C, 1 h" --after none '
    '--after "iron 2 %, 10 min" --after "ash lye, 5 min". The cautions it shows come first.',
    "3. When they are dry, lay them on the photo sheet beside a grey card and photograph them in "
    "open shade: swatchbath sheet --codes A,B,C, then swatchbath photos PHOTO.",
)


# What to do about each thing a swatch may wait for, most useful first. {codes}: some of them.
_NEXT = {
    "to be typed in": "Type in what stands on the pot sheet: swatchbath pot --codes {codes} "
    '--fibre wool --step "dye: weld 80 %, 80 C, 1 h"',
    "to be described": "Record the bath: swatchbath pot --codes {codes} --fibre wool "
    '--step "dye: weld 80 %, 80 C, 1 h"',
    "to be photographed": "When they are dry, print a sheet for them and photograph them on it: "
    "swatchbath sheet --codes {codes}",
    "to be measured": "Photograph them dry on the photo sheet beside a grey card: swatchbath sheet "
    "--codes {codes}",
    "given out": "Record their pot when it is dyed: swatchbath pot --codes {codes} --fibre wool "
    '--step "dye: weld 80 %, 80 C, 1 h"',
}
_DONE = "Next: ask for a shade (swatchbath suggest SHADE), or plan a pot day (swatchbath plan)"
_SHOWN = 4  # codes in such a command: as many as a sheet has places


def next_of(lists: Mapping[str, Sequence[Mapping[str, Any]]]) -> str:
    """What to do next about swatches that wait, one line with the command; "" where none does."""
    for state, line in _NEXT.items():
        if lists.get(state):
            first = lists[state][0]
            if state == "given out" and first.get("suggested"):
                return f"Next: when it is dyed as suggested: swatchbath pot --codes {first['code']}"
            return "Next: " + line.format(
                codes=",".join(str(s["code"]) for s in lists[state][:_SHOWN])
            )
    return ""


def waiting(library: Library | str | Path) -> dict[str, Any]:
    """What each swatch still waits for; the first steps where there is none. Plain values.

    library : one that is open, or its folder, which may not be there yet.
    """
    with ExitStack() as stack:
        lib = existing(stack, library)
        every = [] if lib is None else [s for s, _ in lib.find(k=max(len(lib), 1))]
        said = {} if lib is None else lib.suggestions()
    lists: dict[str, list[dict[str, Any]]] = {state: [] for state in WAITS}
    for swatch in reversed(every):
        for state in waits_of(swatch):
            lists[state].append(
                {
                    "code": swatch.code,
                    "name": swatch.name,
                    "photos": [name for name, _ in swatch.shown],
                    "knots": swatch.conditions.get("knots"),
                    "suggested": promise_words(said[swatch.code]) if swatch.code in said else "",
                }
            )
    return {
        "swatches": len(every),
        "waiting": {state: found for state, found in lists.items() if found},
        "first_steps": [] if every else list(_FIRST_STEPS),
        "next": next_of(lists) or (_DONE if every else ""),
    }
