"""One page a swatch: its photo, colour, bath and history, and what can be done with it."""

from __future__ import annotations

from urllib.parse import quote

from starlette.responses import Response

from ... import desk
from ...errors import SwatchbathError
from ..rendering import on_a_page
from ..visit import Visit, get, post


def show(visit: Visit) -> Response:
    """/swatch/CODE?grams=1.2+kg: all that is on record, and its bath for another weight."""
    return _shown(visit, visit.part("code"), grams=visit.asked("grams"))


def _shown(visit: Visit, key: str, *, grams: str = "", status: int = 200) -> Response:
    wrong = ""
    with visit.library() as library:
        try:
            found = desk.show(library, key, grams=grams or None)
        except SwatchbathError as error:
            if not grams:
                raise
            wrong, status = on_a_page(error), 422
            found = desk.show(library, key)
        code = found["code"]
        dry = [m for m in found["measurements"] if m["state"] != "wet"]
        near, places = [], desk.fibre_places(library, [code])
        if dry:
            near = desk.find(library, lab=code, k=6).as_dict()["swatches"]
            places |= desk.fibre_places(library, [s["code"] for s in near])
        seen = desk.seen_in(library, code)
    return visit.page(
        "swatch.html", status=status, s=found, dry=dry, near=near, places=places, seen=seen,
        grams=grams, grams_wrong=wrong, notes=desk.note_lines(found["conditions"]),
        typed_words=desk.typed_words(found["typed"]), directions=list(desk.BOX_WAYS),
    )  # fmt: skip


def edit(visit: Visit) -> Response:
    """/swatch/CODE/edit: each fact in a field of its own."""
    return _editing(visit)


def _editing(visit: Visit, wrong: str | None = None) -> Response:
    with visit.library() as library:
        found = desk.show(library, visit.part("code"))
        told, untold = desk.facts(library, found["code"])
    return visit.page(
        "edit.html", status=422 if wrong else 200, s=found, told=told, untold=untold, wrong=wrong,
        typed=visit.typed_fields(),
    )  # fmt: skip


def edited(visit: Visit) -> Response:
    """Correct what was typed otherwise than it stood there."""
    code, fields = visit.part("code"), visit.typed_fields()
    cells = [
        f"{name.removeprefix('is-')}={value.strip()}"
        for name, value in fields.items()
        if name.startswith("is-") and value.strip() != fields.get(f"was-{name[3:]}", "").strip()
    ]
    if fields.get("new") and fields.get("new_value", "").strip():
        cells.append(f"{fields['new']}={fields['new_value'].strip()}")
    if not cells:
        return visit.go(_page_of(code), said="All of this is on record so already.")
    try:
        with visit.library() as library:
            done = desk.edit(
                library, code, cells, why=visit.typed("why"), alone=bool(visit.typed("alone"))
            )
    except SwatchbathError as error:
        return _editing(visit, on_a_page(error))
    said = [*done.sentences, *done.edited.questions]
    return visit.go(_page_of(done.edited.code), said=" ".join(said), undo=True)


def state(visit: Visit) -> Response:
    """Correct the state a reading was taken in."""
    code, number = visit.part("code"), visit.number("reading")
    with visit.library() as library:
        done = desk.edit(library, code, reading=number, state=visit.typed("state"))
    return visit.go(_page_of(code), said=" ".join(done.sentences), undo=True)


def binned(visit: Visit) -> Response:
    """Put it, or one of its readings, in the bin."""
    reading = visit.number("reading") if visit.typed("reading") else None
    with visit.library() as library:
        done = desk.bin(library, visit.part("code"), reading=reading, why=visit.typed("why"))
    if reading is None:
        return visit.go("/box", said=f"{done.put} is in the bin.", undo=True)
    said = f"Reading {reading} of {done.put} is in the bin."
    return visit.go(_page_of(visit.part("code")), said=said, undo=True)


def _page_of(key: str) -> str:
    return f"/swatch/{quote(key, safe='')}"


routes = [
    get("/swatch/{code}", show),
    get("/swatch/{code}/edit", edit),
    post("/swatch/{code}/edit", edited),
    post("/swatch/{code}/state", state),
    post("/swatch/{code}/bin", binned),
]
