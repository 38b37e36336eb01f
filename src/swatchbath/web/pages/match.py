"""Do these match? Two places in a photo, two of her swatches, or two lots; nothing to set up."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ...errors import SwatchbathError
from ..answers import answered
from ..drafts import choose, clicked, found, kept, mark, scratch, sent, words
from ..visit import Visit, get, post

# What is asked of a pair, as the desk has it: value -> words.
PURPOSES = (
    ("garment", "one garment"),
    ("customer", "the same shade to a customer"),
    ("family", "the same family of shades"),
)
_PAIR = (("a", "the first"), ("b", "the second"))
# Bare paper tells how even the light is; from so many places on. As the desk's sentence says.
_PAPERS = 6
_KEPT = ("draft", "swapped", "lamp", "card", "for", *"abcdef")


def ask(visit: Visit) -> Response:
    """/match: a photo with two marks, or ?a=CODE&b=CODE: the verdict, as soon as it can be told."""
    if visit.asked("piece"):
        more = {"piece": visit.asked("piece"), "lot": visit.asked("lot")}
        return visit.go(f"/history?{urlencode(more)}")
    if visit.asked("draft"):
        return _in_photo(visit)
    if visit.asked("a") and visit.asked("b"):
        return _of_hers(visit)
    return _start(visit)


def _start(visit: Visit, error: str = "") -> Response:
    return visit.page(
        "match.html", status=422 if error else 200, wrong=error or None, purposes=PURPOSES,
        a=visit.asked("a"), b=visit.asked("b"), hers=visit.has_library(),
    )  # fmt: skip


def upload(visit: Visit) -> Response:
    """A photo to be asked about: it lies aside until the page is closed, in no library."""
    try:
        draft = sent(visit, scratch(visit))[0]
    except SwatchbathError as error:
        return _start(visit, words(error))
    more = {"for": visit.typed("for")} if visit.typed("for") else {}
    return visit.go(f"/match?{urlencode({'draft': draft.id} | more)}")


def further(visit: Visit) -> Response:
    """A second photo of the same two: swapped, or by another lamp."""
    asked: dict[str, Any] = {n: visit.typed(n) for n in _KEPT if visit.typed(n)}
    asked |= {"paper": visit.all_typed("paper")} if visit.all_typed("paper") else {}
    kind = "lamp" if visit.typed("kind") == "lamp" else "swapped"
    try:
        asked[kind] = sent(visit, scratch(visit))[0].id
    except SwatchbathError as error:
        return visit.go(f"/match?{urlencode(asked, doseq=True)}", said=words(error))
    return visit.go(f"/match?{urlencode(asked, doseq=True)}")


def keep(visit: Visit) -> Response:
    """Keep the photo, with its two marks, to be recorded."""
    folder, draft = found(visit, visit.typed("draft"))
    if folder != kept(visit):
        draft = desk.move_draft(draft.id, folder, kept(visit))
    fields = {"card": [visit.typed("card")], "at": [visit.typed("a"), visit.typed("b")]}
    desk.change_draft(kept(visit), draft.id, said=dict(draft.said) | {"fields": fields})
    return visit.go(f"/add/mark?draft={draft.id}")


def _marks(asked: dict[str, Any]) -> list[dict[str, Any]]:
    marks = [mark(n, label, asked[n], needed=True) for n, label in _PAIR]
    marks.append(mark("card", "a grey card", asked["card"], hint="if one lies there", short="card"))
    marks += [
        mark("paper", f"bare paper {i}", value, key="none")
        for i, value in enumerate(asked["paper"], start=1)
    ]
    hint = f"if they lie on plain paper: {_PAPERS} places around them"
    marks.append(mark("paper", "bare paper", hint=hint, short="paper"))
    return choose(marks)


def _in_photo(visit: Visit) -> Response:
    asked: dict[str, Any] = {n: visit.asked(n) for n in _KEPT}
    asked |= {"paper": visit.all_asked("paper"), "for": asked["for"] or PURPOSES[0][0]}
    _, draft = found(visit, asked["draft"])
    photos = {k: found(visit, asked[k])[1] for k in ("swapped", "lamp") if asked[k]}
    if at := clicked(visit.asked, draft):
        _put(asked, at, visit.asked("which"))
        return visit.go(f"/match?{_query(asked)}")
    marks = _marks(asked)
    page: dict[str, Any] = {
        "draft": draft, "asked": asked, "marks": marks, "purposes": PURPOSES, "photos": photos,
        "query": _query(asked),
    }  # fmt: skip
    if not (asked["a"] and asked["b"]):
        return visit.page("match_marks.html", **page)

    def work(_: Any) -> dict[str, Any]:
        return _compared(visit, draft, photos, asked)

    try:
        return answered(
            visit, "Comparing the two", work,
            lambda done: visit.page("match_answer.html", answer=done, **page),
        )  # fmt: skip
    except SwatchbathError as error:
        sentence = words(error, draft, *photos.values())
        return visit.page("match_marks.html", status=422, wrong=sentence, **page)


def _put(asked: dict[str, Any], at: str, which: str) -> None:
    """A click, as the mark of what was chosen, or of the first thing that has none."""
    free = [n for n, _ in _PAIR if not asked[n]]
    if which in ("a", "b", "card"):
        asked[which] = at
    elif which == "paper":
        asked["paper"].append(at)
    else:
        asked[free[0] if free else "card"] = at


def _query(asked: dict[str, Any]) -> str:
    return urlencode({n: v for n, v in asked.items() if v}, doseq=True)


def _compared(
    visit: Visit, draft: Any, photos: dict[str, Any], asked: dict[str, Any]
) -> dict[str, Any]:
    at = [asked["a"], asked["b"]]
    if "swapped" in photos and (asked["c"] and asked["d"] or asked["e"] and asked["f"]):
        at += [asked["c"], asked["d"]] if asked["c"] and asked["d"] else at[1::-1]
    if "lamp" in photos and asked["e"] and asked["f"]:
        at += [asked["e"], asked["f"]]
    places = [desk.place_typed(text, draft.size) for text in asked["paper"]]
    paper = tuple(f"{p.x:g},{p.y:g},{p.half:g}" for p in places)
    answer = desk.compare_in(
        visit.folder, None, None, photo=str(draft.path), card=asked["card"] or None, at=at,
        in_frame=desk.InFrame(paper=paper), purpose=asked["for"],
        swapped=_path(photos, "swapped"), lamp=_path(photos, "lamp"),
    )  # fmt: skip
    return answer.as_dict()


def _path(photos: dict[str, Any], kind: str) -> str | None:
    return str(photos[kind].path) if kind in photos else None


def _of_hers(visit: Visit) -> Response:
    a, b, purpose = visit.asked("a"), visit.asked("b"), visit.asked("for") or PURPOSES[0][0]

    def work(_: Any) -> dict[str, Any]:
        found = desk.compare_in(visit.folder, a, b, purpose=purpose).as_dict()
        codes = [c for c in (found["a"]["code"], found["b"]["code"]) if c]
        if visit.has_library():
            with visit.library() as library:
                places = desk.fibre_places(library, codes)
            found["fibre"] = [places.get(found[n]["code"]) for n in "ab"]
        return found

    asked = {"a": a, "b": b, "for": purpose}
    try:
        return answered(
            visit, "Comparing the two", work,
            lambda done: visit.page(
                "match_answer.html", answer=done, draft=None, asked=asked, purposes=PURPOSES,
                photos={}, query=_query(asked), marks=[],
            ),
        )  # fmt: skip
    except SwatchbathError as error:
        return _start(visit, words(error))


routes = [
    get("/match", ask),
    post("/match", upload),
    post("/match/further", further),
    post("/match/keep", keep),
]
