"""An invented dye house to look round: the sample library in a scratch folder, shown as if hers."""

from __future__ import annotations

import tempfile
from pathlib import Path

from starlette.responses import Response

from ... import desk
from ..jobs import Progress
from ..visit import Visit, post


def enter(visit: Visit) -> Response:
    """Make the house, which takes some seconds, and go in."""
    shared = visit.shared

    def work(progress: Progress) -> str:
        if shared.sample is None:
            folder = Path(tempfile.mkdtemp(prefix="swatchbath-house-")) / "library"
            with desk.open_library(folder, create=True) as library:
                desk.record_sample(library, progress=progress)
            shared.sample = folder
        shared.looking_round = True
        return "/"

    return visit.go(f"/job/{visit.jobs.start('Making an invented dye house', work)}")


def leave(visit: Visit) -> Response:
    """Back to her own library."""
    visit.shared.looking_round = False
    return visit.go("/")


routes = [post("/look-round", enter), post("/look-round/leave", leave)]
