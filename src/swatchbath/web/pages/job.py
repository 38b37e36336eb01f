"""Work that goes on: how far it is, and on to its answer when it has one."""

from __future__ import annotations

from starlette.responses import Response

from ...errors import NotFound
from ..visit import Visit, get


def show(visit: Visit) -> Response:
    """/job/NAME."""
    job = visit.jobs.get(visit.part("job"))
    if job is None:
        raise NotFound("This work is not known any more. Look in your box: what was done is there.")
    if job.to is not None:
        return visit.go(job.to)
    return visit.page("job.html", job=job)


routes = [get("/job/{job}", show)]
