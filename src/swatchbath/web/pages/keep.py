"""Backup and bin: what keeps her record safe, and what was taken off it."""

from __future__ import annotations

from starlette.responses import Response

from ... import desk
from ...errors import SwatchbathError
from ..jobs import Progress
from ..rendering import on_a_page
from ..visit import Visit, get, post


def show(visit: Visit) -> Response:
    """/keep: how the backups stand, and what is in the bin."""
    return _shown(visit)


def _shown(visit: Visit, wrong: str | None = None) -> Response:
    if not visit.has_library():
        return visit.page("keep.html", state=None)
    with visit.library() as library:
        state, things = desk.backup_state(library), desk.bin(library).things
    return visit.page(
        "keep.html", status=422 if wrong else 200, state=state, things=things, folder=visit.folder,
        wrong=wrong, place=visit.typed("place") or state.place or "",
    )  # fmt: skip


def back_up(visit: Visit) -> Response:
    """Make a backup, which may take a while."""
    place, folder, shared = visit.typed("place"), visit.folder, visit.shared
    if not place:
        return _shown(visit, "Name a folder for the backup, best on another disk.")

    def work(progress: Progress) -> str:
        with desk.open_library(folder) as library:
            done = desk.backup(library, place, progress=progress)
        left = f" Not in it, because missing or altered: {', '.join(done.left_out)}."
        shared.say(
            f"Backed up to {done.file}: {desk.counted(done.swatches, 'swatch', 'swatches')} and "
            f"{desk.counted(done.photos, 'photo')}, read back and compared."
            + (left if done.left_out else "")
        )
        return "/keep"

    return visit.go(f"/job/{visit.jobs.start('Making a backup', work)}")


def take_out(visit: Visit) -> Response:
    """Take a swatch or a reading out of the bin."""
    reading = visit.number("reading") if visit.typed("reading") else None
    with visit.library() as library:
        done = desk.bin(library, visit.typed("code"), reading=reading, take_out=True)
    return visit.go("/keep", said=f"{done.took} is out of the bin again.", undo=True)


def empty(visit: Visit) -> Response:
    """Empty the bin for good, where she says so."""
    if not visit.typed("for_good"):
        return _shown(visit, "Tick that it is for good; it cannot be taken back.")
    try:
        with visit.library() as library:
            gone = desk.bin(library, empty=True, for_good=True).emptied
    except SwatchbathError as error:
        return _shown(visit, on_a_page(error))
    codes = ", ".join(gone.codes) if gone and gone.codes else "What was in the bin"
    return visit.go("/keep", said=f"{codes} is gone for good.")


def close(visit: Visit) -> Response:
    """Stop the server."""
    visit.shared.stop()
    return visit.page("closed.html")


routes = [
    get("/keep", show),
    post("/keep/backup", back_up),
    post("/keep/take-out", take_out),
    post("/keep/empty", empty),
    post("/keep/close", close),
]
