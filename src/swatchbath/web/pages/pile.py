"""A pile of skeins: one photo or several, a mark on each skein, and what goes together."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ...errors import SwatchbathError
from ..answers import answered
from ..drafts import choose, clicked, found, mark, scratch, sent, words
from ..visit import Visit, get, post
from .match import PURPOSES


def ask(visit: Visit) -> Response:
    """/pile?draft=ID: mark what lies in each photo, then what goes together."""
    names = visit.all_asked("draft")
    if not names:
        return _start(visit)
    drafts = [found(visit, name)[1] for name in names]
    number = int(visit.asked("n")) if visit.asked("n").isdecimal() else 1
    asked: dict[str, Any] = {"draft": names, "for": visit.asked("for"), "n": str(number)}
    for i in range(1, len(drafts) + 1):
        asked |= {f"card{i}": visit.asked(f"card{i}"), f"at{i}": visit.all_asked(f"at{i}")}
    shown = int(visit.asked("shown")) if visit.asked("shown").isdecimal() else 0
    if 1 <= shown <= len(drafts) and (at := clicked(visit.asked, drafts[shown - 1])):
        if visit.asked("which") == f"card{shown}":
            asked[f"card{shown}"] = at
        else:
            asked[f"at{shown}"].append(at)
        return visit.go(f"/pile?{_query(asked | {'n': str(shown)})}")
    if number <= len(drafts):
        return _mark(visit, drafts, asked, number)

    def work(progress: Any) -> dict[str, Any]:
        photos = [
            (str(one.path), asked[f"card{i}"] or None, asked[f"at{i}"])
            for i, one in enumerate(drafts, start=1)
        ]
        answer = desk.pile_photos(
            visit.folder, photos, purpose=asked["for"] or None, row=True, progress=progress
        )
        told: dict[str, Any] = answer.as_dict()
        order = {name: i for i, name in enumerate(told["row"])}
        for group in told["groups"]:
            group["skeins"].sort(key=order.__getitem__)
        return told

    def page(answer: dict[str, Any]) -> Response:
        cuts = {}
        for i, one in enumerate(drafts, start=1):
            for j, text in enumerate(asked[f"at{i}"], start=1):
                place = desk.place_typed(text, one.size)
                called = str(j) if len(drafts) == 1 else f"{i}.{j}"
                cuts[called] = f"/draft/{one.id}/{place.x:g}_{place.y:g}_{place.half:g}.jpg"
        skeins = {s["called"]: s for s in answer["skeins"]}
        return visit.page(
            "pile_answer.html", answer=answer, skeins=skeins, cuts=cuts, asked=asked,
            purposes=PURPOSES, back=_query(asked | {"n": "1"}),
        )  # fmt: skip

    try:
        return answered(visit, "Sorting the pile", work, page)
    except SwatchbathError as error:
        return _mark(visit, drafts, asked, len(drafts), words(error, *drafts))


def upload(visit: Visit) -> Response:
    """The photos of a pile, put aside for as long as this server lives."""
    try:
        drafts = sent(visit, scratch(visit))
    except SwatchbathError as error:
        return _start(visit, words(error))
    return visit.go(f"/pile?{_query({'draft': [d.id for d in drafts], 'for': visit.typed('for')})}")


def _start(visit: Visit, error: str = "") -> Response:
    return visit.page(
        "pile.html", status=422 if error else 200, wrong=error or None, purposes=PURPOSES
    )


def _mark(
    visit: Visit, drafts: list[Any], asked: dict[str, Any], number: int, wrong: str = ""
) -> Response:
    marks = [mark(f"card{number}", "the grey card", asked[f"card{number}"], needed=True)]
    for i, at in enumerate(asked[f"at{number}"], start=1):
        marks.append(mark(f"at{number}", f"skein {i}", at, more=True, short=str(i), key="more"))
    if len(marks) == 1:  # two at least, and the script adds a further one after each
        marks.append(mark(f"at{number}", "skein 1", needed=True, more=True, short="1", key="more"))
    here = (f"card{number}", f"at{number}")
    return visit.page(
        "pile_marks.html", status=422 if wrong else 200, wrong=wrong or None,
        draft=drafts[number - 1], marks=choose(marks), number=number, count=len(drafts),
        more=mark(f"at{number}", "skein", more=True, key="more"),
        others={n: v for n, v in asked.items() if v and n not in (*here, "n")},
    )  # fmt: skip


def _query(asked: dict[str, Any]) -> str:
    return urlencode({n: v for n, v in asked.items() if v}, doseq=True)


routes = [get("/pile", ask), post("/pile", upload)]
