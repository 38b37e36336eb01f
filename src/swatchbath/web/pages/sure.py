"""How sure: what the record teaches, how near it guesses, and where it is thin."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from ... import desk
from ...errors import NotEnoughSwatches
from ..answers import answered
from ..rendering import on_a_page
from ..visit import Visit, get


def show(visit: Visit) -> Response:
    """/sure."""
    if not visit.has_library():
        return visit.page("sure.html", parts_of=None, lead=[], why="Your box is empty.")

    def work(_: Any) -> dict[str, Any]:
        with visit.library() as library:
            found = desk.explain(library)
        lead, parts = desk.explanation_parts(found)
        return {"lead": lead, "parts": parts}

    try:
        return answered(visit, "Looking at what your swatches teach", work, lambda f: visit.page(
            "sure.html", parts_of=f["parts"], lead=f["lead"], why=""))  # fmt: skip
    except NotEnoughSwatches as error:
        return visit.page("sure.html", parts_of=None, lead=[], why=on_a_page(error))


routes = [get("/sure", show)]
