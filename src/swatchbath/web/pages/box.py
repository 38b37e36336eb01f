"""The box: her swatches in bundles, narrowed by words and filters."""

from __future__ import annotations

import re
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ..visit import Visit, get


def show(visit: Visit) -> Response:
    """/box?by=plant&words=iron&fibre=wool&bundle=weld&page=2."""
    by, words = visit.asked("by", "colour"), visit.asked("words")
    only = {name: visit.asked(name) for name in desk.BOX_FILTERS}
    bundle, page = visit.asked("bundle"), visit.asked("page", "1")
    if not visit.has_library():
        return visit.page("box.html", box=None)
    asked = {"by": by, "words": words} | only
    asked = {n: v for n, v in asked.items() if v and (n, v) != ("by", "colour")}
    with visit.library() as library:
        box = desk.box(
            library,
            by=by,
            words=words,
            only=only,
            bundle=bundle or None,
            page=int(page) if re.fullmatch(r"\d{1,6}", page) else 1,
        )

    def address(**more: object) -> str:
        query = urlencode({**asked, **more})
        return f"/box?{query}" if query else "/box"

    return visit.page(
        "box.html", box=box, by=by, words=words, only=only, bundle=bundle, address=address,
        ways=desk.BOX_BY, filters=desk.BOX_FILTERS, narrowed=bool(words or any(only.values())),
    )  # fmt: skip


def like(visit: Visit) -> Response:
    """/box/like/CODE?way=lighter: like this one, but lighter."""
    way = visit.asked("way", "lighter")
    with visit.library() as library:
        shown = desk.show(library, visit.part("code"))
        place = desk.fibre_places(library, [shown["code"]]).get(shown["code"])
        found = desk.alike(library, shown["code"], way)
    return visit.page(
        "like.html", swatch=shown, place=place, found=found, way=way, directions=list(desk.BOX_WAYS)
    )


routes = [get("/box", show), get("/box/like/{code}", like)]
