"""From the phone: a folder that is watched, ten minutes of sending, and a file to take along."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from starlette.responses import FileResponse, Response

from ... import desk
from ...errors import BadValue, NotFound, SwatchbathError
from ..drafts import kept, scratch
from ..rendering import html, on_a_page
from ..upload import Upload, addresses, qr_path
from ..visit import Visit, get, post


def show(visit: Visit) -> Response:
    """/phone: how photos come here, and how recipes go along."""
    return _show(visit)


def _show(visit: Visit, error: str = "") -> Response:
    upload: Upload | None = visit.shared.upload
    going = upload if upload is not None and upload.is_open else None
    return visit.page(
        "phone.html", status=422 if error else 200, wrong=error or None, upload=going,
        code=qr_path(going.where) if going else None,
        left=max(1, round((going.ends - time.monotonic()) / 60)) if going else 0,
        addresses=addresses(), watched=visit.shared.watched, drafts=desk.drafts(kept(visit)),
        hers=visit.has_library(),
    )  # fmt: skip


def begin(visit: Visit) -> Response:
    """Open the page for the phone, on the address that was chosen, for ten minutes."""
    address = visit.typed("address")
    if address not in addresses():
        return _show(visit, f"'{address}' is no address of this computer. Choose one that is.")
    if visit.shared.upload is not None:
        visit.shared.upload.end()
    upload = Upload(kept(visit), address)
    try:
        upload.begin()
    except BadValue as error:
        return _show(visit, on_a_page(error))
    visit.shared.upload = upload
    return visit.go("/phone")


def end(visit: Visit) -> Response:
    """Close it before its time."""
    if visit.shared.upload is not None:
        visit.shared.upload.end()
    return visit.go("/phone", said="Closed. No more photos are taken from the phone.")


def look(visit: Visit) -> Response:
    """Take in what is new in the watched folder."""
    watched: Path | None = visit.shared.watched
    if watched is None:
        raise NotFound("No folder is watched. Open the page with --folder and its name.")
    new = desk.new_in_folder(watched, kept(visit))
    if not new:
        return visit.go("/add", said=f"Nothing is new in {watched}.")
    target = kept(visit)

    def work(progress: Any) -> str:
        refused = desk.take_from_folder(new, target, progress=progress)
        if refused:
            visit.shared.say(" ".join(refused))
        return "/add"

    job = visit.jobs.start(f"Taking in {desk.counted(len(new), 'photo')}", work)
    return visit.go(f"/job/{job}")


def save(visit: Visit) -> Response:
    """Make the file for the phone; it is fetched when it is there."""
    folder, out = visit.folder, scratch(visit)

    def work(progress: Any) -> str:
        with desk.open_library(folder) as library:
            swatches = desk.for_phone(library, progress=progress)
        out.mkdir(mode=0o700, parents=True, exist_ok=True)
        page = html("for_phone.html", swatches=swatches)
        (out / _FILE).write_bytes(bytes(page.body))
        return "/phone/saved"

    if not visit.has_library():
        raise NotFound("There is nothing on record to take along yet. Record a swatch first.")
    job = visit.jobs.get(name := visit.jobs.start("Writing the file for the phone", work))
    assert job is not None
    job.ended.wait(3)
    if isinstance(job.error, SwatchbathError):
        raise job.error
    return visit.go(job.to or f"/job/{name}")


_FILE = "swatches.html"


def saved(visit: Visit) -> Response:
    """/phone/saved: where the file is to be had."""
    return visit.page("phone_saved.html", there=(scratch(visit) / _FILE).is_file())


def file(visit: Visit) -> Response:
    """/phone/swatches.html: the file itself, to be saved and not opened here."""
    path = scratch(visit) / _FILE
    if not path.is_file():
        raise NotFound("The file is not written yet. Write it under From the phone.")
    return FileResponse(path, filename=_FILE, media_type="application/octet-stream")


routes = [
    get("/phone", show),
    post("/phone/open", begin),
    post("/phone/close", end),
    post("/phone/look", look),
    post("/phone/save", save),
    get("/phone/saved", saved),
    get(f"/phone/{_FILE}", file),
]
