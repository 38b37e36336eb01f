"""The colours of a marked photo, what each swatch is, and all of it put on record."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.responses import HTMLResponse, Response

from ... import desk
from ...errors import SwatchbathError
from ..answers import answered
from ..drafts import found, kept, marked_as, words
from ..rendering import html
from ..visit import Visit, get, post

# What waits for a photo may be what lies in this one.
_WAITS = ("to be photographed", "given out", "to be measured", "to be described", "to be typed in")


def colours(visit: Visit) -> Response:
    """/add/say?draft=ID: the colours with their give or take, and what each swatch is."""
    _, draft = found(visit, visit.asked("draft"))
    state = marked_as(draft)
    if visit.asked("as") != state:  # the address of an answer holds what was marked
        return visit.go(f"/add/say?{urlencode({'draft': draft.id, 'as': state})}")

    def work(_: Any) -> dict[str, Any]:
        return _read(visit, draft)

    try:
        return answered(visit, "Reading the colours", work, lambda done: _page(visit, draft, done))
    except SwatchbathError as error:
        to = f"/add/mark?draft={draft.id}"
        return visit.go(to, said=words(error, draft))


def _fields(draft: Any) -> tuple[str | None, list[str]]:
    """The card and the swatches as they were marked."""
    fields = draft.said.get("fields", {})
    card = (fields.get("card") or [""])[0] or None
    at = [v for v in fields.get("at", []) if v]
    return card, [f"{i}={v}" for i, v in enumerate(at, start=1)]


def _read(visit: Visit, draft: Any) -> dict[str, Any]:
    card, swatches = _fields(draft)
    if card == "none":
        names = [s.split("=")[0] for s in swatches] or ["1"]
        return {"swatches": [{"name": n, "lab": None} for n in names], "notes": [],
                "refused": {}, "places": {}, "found": []}  # fmt: skip
    with tempfile.TemporaryDirectory() as aside:
        drawn = str(Path(aside) / "places.jpg") if not _all_squares(card, swatches) else None
        return desk.measure_typed(
            str(draft.path), card=card, swatches=swatches, preview=drawn, library=visit.folder
        )


def _all_squares(card: str | None, swatches: list[str]) -> bool:
    """Whether each place was marked with its size, so that none is looked for."""
    texts = [card or "", *(s.split("=")[1] for s in swatches)]
    return bool(swatches) and all(len(re.findall(r"[^,;\s]+", t)) == 3 for t in texts)


def _page(visit: Visit, draft: Any, done: dict[str, Any], wrong: str = "") -> Response:
    places = {n: _square(points) for n, points in done["places"].items()}
    card, swatches = _fields(draft)
    if not places and card and card != "none":
        for item in [f"grey card={card}", *swatches]:
            name, _, text = item.partition("=")
            place = desk.place_typed(text, draft.size)
            places[name] = f"{place.x:.0f},{place.y:.0f},{place.half:.0f}"
    elif not places:
        places = dict(s.split("=") for s in swatches)
    waits, last, columns = [], None, []
    if visit.has_library():
        with visit.library() as library:
            lists = desk.waiting(library)["waiting"]
            seen: dict[str, str] = {}
            for what in _WAITS:
                for one in lists.get(what, []):
                    seen.setdefault(one["code"], one["name"] or one["suggested"] or what)
            waits = [(code, f"{code}, {words_}") for code, words_ in seen.items()]
            code = desk.last_dyed(library)
            if code is not None:
                last = desk.show(library, code)
                told, untold = desk.facts(library, last["code"])
                columns = [(f.name, f.words) for f in [*told, *untold]
                           if f.name not in ("name", "session", "note")]  # fmt: skip
    return visit.page(
        "add_say.html", status=422 if wrong else 200, wrong=wrong or None, draft=draft, done=done,
        places=places, waits=waits, last=last, columns=columns,
        fibre_mark={n: text.replace(",", "_") for n, text in places.items()},
        old=draft.said.get("from") == "old",
    )  # fmt: skip


def _square(points: list[list[float]]) -> str:
    """The square about a place's corners, as x,y,half."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    half = max(max(xs) - min(xs), max(ys) - min(ys)) / 2
    return f"{(max(xs) + min(xs)) / 2:.0f},{(max(ys) + min(ys)) / 2:.0f},{max(half, 1):.0f}"


def record(visit: Visit) -> Response:
    """Put it on record: all of it, or nothing, and a job where it takes a while."""
    folder, draft = found(visit, visit.typed("draft"))
    card, swatches = _fields(draft)
    said = {}
    for name in visit.all_typed("place"):
        what = visit.typed(f"what-{name}")
        if what == "leave out":
            continue
        column, value = visit.typed(f"column-{name}"), visit.typed(f"value-{name}")
        but = (f"{column}={value}",) if column and value and what == "last" else ()
        code = what.removeprefix("code:") if what.startswith("code:") else ""
        bath = what if what in ("last", "lines") else ""
        said[name] = desk.MarkedAs(code, bath, but, visit.typed(f"name-{name}"))
    lines, fibre = visit.typed("lines").splitlines(), visit.typed("fibre")
    target = visit.folder

    def work(progress: Any) -> tuple[str, Any]:
        done = desk.record_marked(
            target, draft.path, said, card=card, swatches=swatches, fibre=fibre, lines=lines,
            called=draft.called, state=visit.typed("state") or "dry", progress=progress,
        )  # fmt: skip
        desk.drop_draft(folder, draft.id)
        codes = list(done.codes.values())
        told = f"Recorded {', '.join(codes)}."
        questions = f" {' '.join(done.questions)}" if done.questions else ""
        visit.shared.say(told + questions, undo=True)
        waits = desk.drafts(kept(visit))
        if waits:
            return f"/add/mark?draft={waits[0].id}", None
        return (f"/swatch/{codes[0]}" if len(codes) == 1 else "/add/done?" + urlencode(
            {"code": codes}, doseq=True)), None  # fmt: skip

    name = visit.jobs.start(f"Recording {draft.called}", work)
    job = visit.jobs.get(name)
    assert job is not None
    job.ended.wait(20)
    if job.error is not None:
        return _again(visit, draft, words(job.error, draft))
    return visit.go(job.to or f"/job/{name}")


def _again(visit: Visit, draft: Any, wrong: str) -> Response:
    """The same page with what she typed, and what is wrong."""
    return _page(visit, draft, _read(visit, draft), wrong)


def done(visit: Visit) -> Response:
    """/add/done?code=..: what was recorded, as it hangs in the box now."""
    with visit.library() as library:
        shown = [desk.show(library, code) for code in visit.all_asked("code")]
        places = desk.fibre_places(library, [s["code"] for s in shown])
    return visit.page("add_done.html", shown=shown, places=places)


def read(visit: Visit) -> HTMLResponse:
    """/add/read?lines=...: a bath told in a diary's lines, as it is understood."""
    told = desk.understood(visit.asked("lines").splitlines()[:60], visit.asked("fibre"))
    return html("read.html", told=told)


routes = [
    get("/add/say", colours),
    post("/add/say", record),
    get("/add/done", done),
    get("/add/read", read),
]
