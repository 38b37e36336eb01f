"""The last change taken back."""

from __future__ import annotations

from starlette.responses import Response

from ... import desk
from ..visit import Visit, post


def write(visit: Visit) -> Response:
    """Take back the last change, and say what it was."""
    with visit.library() as library:
        done = desk.undo(library)
    return visit.go("/", said=" ".join(done.sentences) or "The last change is taken back.")


routes = [post("/undo", write)]
