"""Answers that take a while: worked out beside, kept while nothing on record has changed."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock
from typing import Any

from starlette.responses import Response

from ..errors import SwatchbathError
from .jobs import Progress
from .visit import Visit

# How long a page waits for its answer before it shows how far the work is, s; and how many answers
# are kept. Our own choice: a warm answer takes about a second.
_WAIT_S, _KEPT = 1.5, 32

_kept: OrderedDict[tuple[Any, ...], Any] = OrderedDict()
_lock = Lock()


def answered(
    visit: Visit, what: str, work: Callable[[Progress], Any], page: Callable[[Any], Response]
) -> Response:
    """The page of what `work` finds for this address; where that takes long, how far it is first.

    what : what is being done, in words. The answer is kept for the address and for the library as
    it is, so that coming back to it is at once.
    """
    request = visit.request
    here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    key = (here, *_state(visit))
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _shown(_kept[key], page)

    def worked(progress: Progress) -> tuple[str, Any]:
        # A refusal is an answer too: it stands on the page that asked, with what was asked.
        try:
            found = work(progress)
        except SwatchbathError as error:
            found = error
        with _lock:
            _kept[key] = found
            while len(_kept) > _KEPT:
                _kept.popitem(last=False)
        return here, found

    name = visit.jobs.start(what, worked)
    job = visit.jobs.get(name)
    assert job is not None
    job.ended.wait(_WAIT_S)
    if job.to is None:  # still at it, or a fault of ours, which that page says
        return visit.go(f"/job/{name}")
    return _shown(job.result, page)


def _shown(found: Any, page: Callable[[Any], Response]) -> Response:
    if isinstance(found, SwatchbathError):
        raise found
    return page(found)


def _state(visit: Visit) -> tuple[Any, ...]:
    """What tells one state of the library's files from another."""
    found: list[Any] = [str(visit.folder)]
    for name in ("library.sqlite", "library.sqlite-wal"):
        path = visit.folder / name
        found.append((path.stat().st_mtime_ns, path.stat().st_size) if path.is_file() else None)
    return tuple(found)
