"""Dye one again: which, for how much fibre, the pot sheet, and new codes for its pieces."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ..visit import Visit, get, post


def choose(visit: Visit) -> Response:
    """/again: which one; the latest first, or what was looked for."""
    if code := visit.asked("of"):
        return visit.go(f"/again/{code}")
    words = visit.asked("words")
    if not visit.has_library():
        return visit.page("again.html", swatches=[], places={}, words=words, empty=True)
    with visit.library() as library:
        found = desk.find(library, words or None, k=24).as_dict()["swatches"]
        places = desk.fibre_places(library, [s["code"] for s in found])
        empty = not len(library)
    return visit.page("again.html", swatches=found, places=places, words=words, empty=empty)


def sheet(visit: Visit) -> Response:
    """/again/CODE?grams=1.2 kg&pot=20 litres: what to weigh and how, to read at the stove."""
    asked = {"grams": visit.asked("grams"), "pot": visit.asked("pot")}
    with visit.library() as library:
        shown = desk.pot_sheet(
            library, visit.part("code"), grams=asked["grams"] or None, pot=asked["pot"] or None
        )
        place = desk.fibre_places(library, [shown["code"]]).get(shown["code"])
    return visit.page("pot_sheet.html", sheet=shown, place=place, asked=asked)


def dyed(visit: Visit) -> Response:
    """The pot is on: codes for its pieces, with the bath as it was."""
    code, grams = visit.part("code"), visit.typed("grams")
    changes = [line for line in visit.typed("changes").splitlines() if line.strip()]
    how: dict[str, Any] = {"weight": grams} if grams else {}
    with visit.library() as library:
        if desk.pot_sheet(library, code)["suggested"]:
            done = desk.pot(library, codes=[code], changes=changes, **how)
        else:
            done = desk.pot(library, like=code, changes=changes, **how)
    new = ", ".join(done.codes)
    said = f"Recorded. Write {new} on the tag; it waits for its photo when dry."
    return visit.go(f"/?{urlencode({'dyed': done.codes[0]})}", said=said, undo=True)


routes = [
    get("/again", choose),
    get("/again/{code}", sheet),
    post("/again/{code}", dyed),
]
