"""A day of samples: what to dye next that would teach most."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from ... import desk
from ...errors import BadValue, SwatchbathError
from ..answers import answered
from ..rendering import on_a_page
from ..visit import Visit, get
from .shade import limits_of, request_of


def show(visit: Visit) -> Response:
    """/shade/day?shade=...: for a shade, or where the record is thinnest."""
    asked = request_of(visit)
    room = {"pots": visit.asked("pots", "2"), "jars": visit.asked("jars", "4")}

    def work(_: Any) -> dict[str, Any]:
        with visit.library() as library:
            found: dict[str, Any] = desk.plan(
                library,
                asked["shade"] or None,
                limits=limits_of(asked),
                pots=_count(room["pots"]),
                jars=_count(room["jars"]),
            ).as_dict()
        return found

    def page(found: dict[str, Any]) -> Response:
        return visit.page("day.html", day=found, asked=asked, room=room)

    try:
        return answered(visit, "Choosing samples", work, page)
    except SwatchbathError as error:
        return visit.page("day.html", status=422, wrong=on_a_page(error), day=None, asked=asked,
                          room=room)  # fmt: skip


def _count(text: str) -> int:
    if not text.isdecimal():
        raise BadValue(f"Pots and jars are whole numbers, and '{text}' is none.")
    return int(text)


routes = [get("/shade/day", show)]
