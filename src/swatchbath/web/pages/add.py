"""Add photos: what was sent, where things lie in it, and codes given out before any photo."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ...errors import NotFound, SwatchbathError
from ..drafts import choose, clicked, found, kept, mark, marked_as, sent, words
from ..visit import Visit, get, post
from .drafts import fields_of

# Where adding begins: what to do first, in words. Common practice, no source.
BEGINNINGS: dict[str, dict[str, str]] = {
    "": {
        "title": "Add photos",
        "first": "Lay the swatches beside a grey card in daylight without sun, and photograph them "
        "straight from above. On a sheet printed from here they are found by themselves.",
    },
    "old": {
        "title": "A box of old swatches",
        "first": "Number them, and lay eight to a photo beside a grey card, in daylight without "
        "sun. Their numbers become their names; the baths come from your notebook later.",
    },
    "shade": {
        "title": "The photo of the shade",
        "first": "The shade, a grey card and two or three of your own swatches near to it in "
        "colour, in daylight without sun.",
    },
}


def start(visit: Visit) -> Response:
    """/add: choose photos; ?from=codes: codes first."""
    return _start(visit, visit.asked("from"), visit.asked("as"))


def _start(visit: Visit, begun: str, kind: str, error: str = "") -> Response:
    if begun == "codes":
        return visit.page(
            "codes.html", status=422 if error else 200, wrong=error or None, done=None
        )
    waits = [d for d in desk.drafts(kept(visit))]
    begun = begun if begun in BEGINNINGS else ""
    return visit.page(
        "add.html", status=422 if error else 200, wrong=error or None, begun=begun, kind=kind,
        about=BEGINNINGS[begun], drafts=waits,
    )  # fmt: skip


def upload(visit: Visit) -> Response:
    """Photos into the drafts beside her library; then the first is marked."""
    begun, kind = visit.typed("from"), visit.typed("as")
    try:
        drafts = sent(visit, kept(visit))
    except SwatchbathError as error:
        return _start(visit, begun, kind, words(error))
    for one in drafts:
        desk.change_draft(kept(visit), one.id, said=dict(one.said) | {"from": begun, "as": kind})
    return visit.go(f"/add/mark?draft={drafts[0].id}")


def marking(visit: Visit) -> Response:
    """/add/mark?draft=ID: where the card and the swatches lie."""
    _, draft = found(visit, visit.asked("draft"))
    return _mark(visit, draft, draft.said.get("fields", {}))


def _mark(visit: Visit, draft: Any, fields: dict[str, list[str]], wrong: str = "") -> Response:
    shade = draft.said.get("from") == "shade"
    one = {n: (fields.get(n) or [""])[0] for n in ("card", "shade", "codes")}
    card = "" if one["card"] == "none" else one["card"]
    marks = [mark("shade", "the shade", one["shade"], needed=True)] if shade else []
    marks.append(mark("card", "the grey card", card, needed=True))
    called = "one of your own swatches" if shade else "swatch"
    at = [v for v in fields.get("at", []) if v]
    for i, value in enumerate(at, start=1):
        label = f"{called} {i}"
        marks.append(mark("at", label, value, more=True, short=str(i), key="more"))
    if not at:
        marks.append(mark("at", f"{called} 1", needed=not shade, more=True, short="1", key="more"))
    return visit.page(
        "add_marks.html", status=422 if wrong else 200, wrong=wrong or None, draft=draft,
        marks=choose(marks), more=mark("at", called, more=True, key="more"), shade=shade,
        no_card=one["card"] == "none", codes=one["codes"],
    )  # fmt: skip


def marked(visit: Visit) -> Response:
    """Keep the marks, and go on to the colours; a click on the picture is one mark more."""
    folder, draft = found(visit, visit.typed("draft"))
    fields = fields_of(visit)
    if visit.typed("no_card"):
        fields["card"] = ["none"]
    at = clicked(visit.typed, draft)
    if at:
        which = visit.typed("which")
        if which in ("card", "shade"):
            fields[which] = [at]
        else:
            fields["at"] = [*fields.get("at", []), at]
    said = dict(draft.said) | {"fields": {n: v for n, v in fields.items() if n != "draft"}}
    draft = desk.change_draft(folder, draft.id, said=said)
    if at:
        return visit.go(f"/add/mark?draft={draft.id}")
    try:
        for text in [*fields.get("at", []), *fields.get("shade", [])]:
            desk.place_typed(text, draft.size)
    except SwatchbathError as error:
        return _mark(visit, draft, said["fields"], words(error))
    if draft.said.get("from") == "shade":
        if not fields.get("shade"):
            return _mark(visit, draft, said["fields"], "Mark the shade first.")
        more = {"draft": draft.id, "as": marked_as(draft)}
        return visit.go(f"/shade/baths?{urlencode(more)}")
    return visit.go(f"/add/say?draft={draft.id}")


def codes(visit: Visit) -> Response:
    """Codes before the pot: how many, and with a bath or without."""
    count = visit.typed("count") or "1"
    lines = [t for t in visit.typed("lines").splitlines() if t.strip()]
    fibre = visit.typed("fibre")
    try:
        number = int(count) if count.isdecimal() else 0
        if not 1 <= number <= 100:
            raise NotFound("Ask for 1 to 100 codes.")
        if lines or fibre:
            target = visit.folder
            made = desk.pot(target, lines, fibres=[fibre] * number if fibre else [])
            given, cautions = made.codes, [*made.cautions, *made.general]
        else:
            given, cautions = desk.codes(visit.folder, number)["codes"], []
    except SwatchbathError as error:
        return _start(visit, "codes", "", words(error))
    visit.shared.say(f"Given out: {', '.join(given)}.", undo=True)
    return visit.page("codes.html", done=given, cautions=cautions, wrong=None)


routes = [
    get("/add", start),
    post("/add", upload),
    get("/add/mark", marking),
    post("/add/mark", marked),
    post("/add/codes", codes),
]
