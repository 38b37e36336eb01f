"""The first screen: what waits, what can be asked, and her swatches by colour."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from ... import desk
from ..drafts import kept
from ..visit import Visit, get, post

# Swatches of each colour on the first screen; the box has them all. Our own choice.
_EACH = 6


def show(visit: Visit) -> Response:
    """What would you like to do; or what waits, and her swatches."""
    half, watched = desk.drafts(kept(visit)), visit.shared.watched
    more: dict[str, Any] = {"half": half, "watched": watched, "going": visit.jobs.going()}
    more["came"] = len(desk.new_in_folder(watched, kept(visit))) if watched else 0
    if not visit.has_library():
        return visit.page("home.html", start=None, **more)
    with visit.library() as library:
        start = desk.start(library)
        box = desk.box(library, each=_EACH) if start.swatches else None
    return visit.page("home.html", start=start if start.swatches else None, box=box, **more)


def rinsed(visit: Visit) -> Response:
    """A pot that was on is rinsed: a treatment more for all that lay in it."""
    codes = visit.all_typed("code")
    with visit.library() as library:
        desk.pot(library, ["rinse"], codes=codes)
    return visit.go("/", said=f"Rinsed: {', '.join(codes)}. Photograph it when dry.", undo=True)


routes = [get("/", show), post("/rinsed", rinsed)]
