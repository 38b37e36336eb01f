"""Pictures of photos that are being marked, and what was marked so far."""

from __future__ import annotations

from starlette.responses import Response

from ... import desk
from ...errors import BadValue
from ..drafts import found, kept
from ..visit import Visit, get, post
from .pictures import longest

_PRIVATE = {"Cache-Control": "private, max-age=3600"}


def picture(visit: Visit) -> Response:
    """/draft/ID.jpg?longest=960&mark=NAME=x,y: the whole photo, with marks where they are named."""
    _, draft = found(visit, visit.part("id"))
    places = {}
    for item in visit.all_asked("mark"):
        name, sign, text = item.rpartition("=")
        if sign:
            places[name[:40]] = desk.place_typed(text, draft.size)
    jpeg = desk.draft_picture(draft, longest=longest(visit), places=places)
    return Response(jpeg, media_type="image/jpeg", headers=_PRIVATE)


def fibre(visit: Visit) -> Response:
    """/draft/ID/X_Y_HALF.jpg: one place of it alone."""
    _, draft = found(visit, visit.part("id"))
    place = desk.place_typed(visit.part("mark").replace("_", ","), draft.size)
    if not (0 <= place.x < draft.size[0] and 0 <= place.y < draft.size[1]):
        raise BadValue("This place is outside the photo.")
    jpeg = desk.draft_fibre(draft, place, longest=longest(visit))
    return Response(jpeg, media_type="image/jpeg", headers=_PRIVATE)


def marked(visit: Visit) -> Response:
    """Keep what is marked so far."""
    folder, draft = found(visit, visit.part("id"))
    desk.change_draft(folder, draft.id, said=dict(draft.said) | {"fields": fields_of(visit)})
    return Response(status_code=204)


def fields_of(visit: Visit) -> dict[str, list[str]]:
    """What is marked, by field."""
    names = [n for n in visit.typed_fields() if not n.startswith(("place", "which"))]
    return {n: visit.all_typed(n) for n in names}


def away(visit: Visit) -> Response:
    """Take the photo away again."""
    folder, draft = found(visit, visit.part("id"))
    desk.drop_draft(folder, draft.id)
    to = "/add" if folder == kept(visit) else "/match"
    return visit.go(to, said=f"{draft.called} is taken away. Nothing of it was recorded.")


routes = [
    get("/draft/{id}.jpg", picture),
    get("/draft/{id}/{mark}.jpg", fibre),
    post("/draft/{id}/marks", marked),
    post("/draft/{id}/away", away),
]
