"""The page put together: routes, the guard before them, and what all pages share.

How a page is added
-------------------
1. `pages/NAME.py` with functions of one `Visit` and, at the end,
   `routes = [get("/name", show), post("/name", write)]` (both from `..visit`). It is found by
   itself; no list is to be kept. Functions are plain, not async: each runs in a thread.
2. GET asks and never writes; its address can be kept: `visit.asked("weight")` is what stands in
   the address. POST writes: `visit.typed("weight")` is what was typed, `visit.files("photo")` what
   was sent; it ends with `return visit.go("/box", said="Recorded 7KJDA.", undo=True)`, which shows
   the sentence once on the next screen, with a button that takes the last change back.
   What she typed wrongly: catch the SwatchbathError and return the same page again,
   `visit.page("name.html", status=422, wrong=error, ...)`; what is not caught becomes a page with
   its sentence.
3. `with visit.library() as lib:` opens her library for this one request (NotFound where there is
   none yet; `visit.has_library()`; `visit.library(create=True)` to begin one).
4. `templates/name.html` extends "base.html" and fills the block `main` (and `title`); it begins
   with `{% import "parts.html" as parts with context %}`. A form that writes is
   `{% call parts.form("/name") %} ... {% endcall %}` (with the token and room for files); without
   `parts.form` its POST is refused. Colours are `parts.patch(lab)`, two that touch
   `parts.pair(a, b)`, the fibre's photo `parts.fibre(place, words)`; see parts.html for the rest.
   The policy forbids every inline style, script and on... attribute: looks go to static/page.css,
   behaviour to `static/name.js`, put in the block `scripts`.
5. Work of more than a second or two: `job = visit.jobs.start("Measuring ...", work)`, where
   `work(progress)` calls `progress(done, total, words)`, as the desk does, and
   returns the address where its answer is; then `return visit.go(f"/job/{job}")`. She may leave
   and come back.
"""

from __future__ import annotations

import importlib
import pkgutil
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Mount
from starlette.staticfiles import StaticFiles

from . import pages
from .guard import Guard
from .jobs import Jobs
from .rendering import error_page
from .visit import Shared

_HERE = Path(__file__).parent


def all_routes() -> list[BaseRoute]:
    """The routes of every file in `pages`, and the static files."""
    found: list[BaseRoute] = []
    for module in sorted(m.name for m in pkgutil.iter_modules(pages.__path__)):
        found += importlib.import_module(f"{pages.__name__}.{module}").routes
    return [*found, Mount("/static", StaticFiles(directory=_HERE / "static"))]


def make_app(
    folder: str | Path, *, secret: str, door: Any = None, watched: Path | None = None
) -> Starlette:
    """The page for the library in a folder, which may not be there yet.

    secret : of this server's life; who has it as a cookie comes in, and form tokens are made of
    it. door : has `opens(key)`, whether a key in the address lets somebody in, once.
    watched : a folder into which photos come.
    """
    app = Starlette(
        routes=all_routes(),
        middleware=[Middleware(Guard, secret=secret, door=door)],
        exception_handlers={HTTPException: _refused},
    )
    app.state.shared = Shared(Path(folder), secret, Jobs(), watched=watched)
    return app


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    sentence = {
        404: "There is no page at this address. Go back to your swatches.",
        405: "This address takes another kind of request. Go back to your swatches.",
    }.get(error.status_code, f"{error.detail}. Go back to your swatches.")
    return error_page(error.status_code, sentence)
