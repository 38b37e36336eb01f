"""A shade's history: the pieces she keeps, and each new lot judged beside its piece."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ...errors import SwatchbathError
from ..rendering import on_a_page
from ..visit import Visit, get, post
from .match import PURPOSES


def show(visit: Visit) -> Response:
    """/history: all kept pieces; ?piece=NAME&lot=LOT: one lot to be judged."""
    return _show(visit)


def _show(visit: Visit, error: str = "", keeping: bool = False) -> Response:
    pieces: list[dict[str, Any]] = []
    places: dict[str, Any] = {}
    if visit.has_library():
        with visit.library() as library:
            pieces = desk.piece(library).as_dict()["pieces"]
            places = desk.fibre_places(library, [c for p in pieces for c in p["codes"]])
    return visit.page(
        "history.html", status=422 if error else 200, wrong=error or None, keeping=keeping,
        pieces=pieces, places=places, purposes=PURPOSES, what=visit.asked("what"),
        piece=visit.asked("piece") or visit.typed("piece"),
        lot=visit.asked("lot") or visit.typed("lot"),
    )  # fmt: skip


def keep(visit: Visit) -> Response:
    """Keep a piece of a shade that is to be met again."""
    try:
        with visit.library() as library:
            done = desk.piece(
                library, visit.typed("what"), name=visit.typed("name") or None,
                purpose=visit.typed("for") or None, lies=visit.typed("lies") or None,
            )  # fmt: skip
    except SwatchbathError as error:
        return _show(visit, on_a_page(error), keeping=True)
    said = on_a_page(" ".join(done.said))
    return visit.go("/history", said=said, undo=True)


def let_go(visit: Visit) -> Response:
    """A piece is kept no more."""
    with visit.library() as library:
        done = desk.piece(library, name=visit.typed("piece"), let_go=True)
    return visit.go("/history", said=on_a_page(" ".join(done.said)), undo=True)


def judge(visit: Visit) -> Response:
    """Judge a lot by its piece: it goes into the history of the shade."""
    piece, lot = visit.typed("piece"), visit.typed("lot")
    try:
        with visit.library() as library:
            found = desk.judge(library, piece, lot)
    except SwatchbathError as error:
        return _show(visit, on_a_page(error))
    more = {"piece": piece, "lot": lot}
    said = f"{found.called} is in the history of {piece}."
    return visit.go(f"/history/lot?{urlencode(more)}", said=said, undo=True)


def judged(visit: Visit) -> Response:
    """/history/lot?piece=NAME&lot=LOT: how it was judged, and the lots of the shade on a line."""
    piece, lot = visit.asked("piece"), visit.asked("lot")
    with visit.library() as library:
        kept = next((p for p in library.kept_pieces() if p.name == piece), None)
        codes = set(library.codes_of(lot)) if lot else set()
        if kept is None or not codes or not codes <= set(kept.judged):
            # To judge is to write: it is asked first.
            return visit.go(f"/history?{urlencode({'piece': piece, 'lot': lot})}")
        found = desk.judge(library, piece, lot).as_dict()
        hung = [c for one in found["history"]["lots"] for c in one["codes"]]
        places = desk.fibre_places(library, [*hung, *found["kept"]["codes"]])
    return visit.page("judged.html", found=found, places=places, piece=piece)


routes = [
    get("/history", show),
    post("/history/keep", keep),
    post("/history/let-go", let_go),
    post("/history/judge", judge),
    get("/history/lot", judged),
]
