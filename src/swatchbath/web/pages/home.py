"""The first screen: what waits, what can be asked, and her swatches by colour."""

from __future__ import annotations

from starlette.responses import Response

from ... import desk
from ..visit import Visit, get

# Swatches on the first screen; the box has them all. Our own choice.
_SHOWN = 24


def show(visit: Visit) -> Response:
    """What would you like to do; or what waits, and her swatches."""
    if not visit.has_library():
        return visit.page("home.html", swatches=[])
    with visit.library() as library:
        found = desk.find(library, k=max(len(library), 1)).as_dict()["swatches"]
        shown = found[:_SHOWN]
        places = desk.fibre_places(library, [s["code"] for s in shown])
        return visit.page("home.html", swatches=shown, count=len(found), places=places, waits=[])


routes = [get("/", show)]
