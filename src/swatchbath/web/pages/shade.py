"""Ask for a shade: where it comes from, what its bath must be, and the baths that give it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from ... import desk
from ...errors import BadValue, SwatchbathError
from .. import drafts
from ..answers import answered
from ..drafts import found
from ..rendering import on_a_page
from ..visit import Visit, get, post

# How a shade arrives: its name, what to do first, and how it is told. With `photo` a photo is
# added; a picture is a wish, whose colour is picked. Common practice, no source.
ARRIVALS: dict[str, dict[str, Any]] = {
    "scrap": {
        "title": "A scrap by post",
        "steps": (
            "Print the sheet with room for three of your own swatches, or take any sheet of plain "
            "white paper.",
            "Lay the scrap in the middle, your grey card and two or three of your own swatches "
            "near to it in colour around it. They make the reading by far the sharpest.",
            "Photograph it by a window without sun, straight from above.",
        ),
        "photo": True,
    },
    "picture": {
        "title": "A picture by messenger",
        "steps": (
            "A picture shows a wish and not a colour: phones and screens change it. Ask for 5 cm "
            "of the thing by post if it has to be close.",
            "Or pick the colour as your screen shows it. You then get a picture of three of your "
            "own swatches to send back, and ask which is nearest.",
        ),
        "photo": False,
    },
    "skein": {
        "title": "An old skein",
        "steps": (
            "Look for a part that was kept from light: the inside of the skein, under the band. "
            "What has faded is another shade.",
            "Wash it as it will be washed, and let it dry: soap and damp change a colour.",
            "Lay it beside the grey card and two of your own swatches on plain paper.",
        ),
        "photo": True,
    },
    "leaf": {
        "title": "A leaf, a stone, a feather",
        "steps": (
            "Wipe it dry, lay it flat, in open shade, today: a leaf changes within hours.",
            "Shine and edges mislead: mark a place that is matt and even.",
            "Lay the grey card beside it and photograph straight from above.",
        ),
        "photo": True,
    },
}
CLOSE = (
    ("2", "one garment"),
    ("4", "the same shade to a customer"),
    ("8", "the same family of shades"),
)
# What stays in the address from one page to the next.
_KEPT = ("shade", "but", "fibre", "cupboard", "limit", "grams", "pot", "close", "draft")


def start(visit: Visit) -> Response:
    """/shade: where the shade comes from."""
    if not visit.has_library():
        return visit.page("shade.html", arrivals=ARRIVALS, swatches=[], places={}, empty=True)
    with visit.library() as library:
        found = desk.find(library, k=12).as_dict()["swatches"]
        places = desk.fibre_places(library, [s["code"] for s in found])
    return visit.page("shade.html", arrivals=ARRIVALS, swatches=found, places=places, empty=False)


def arrival(visit: Visit) -> Response:
    """/shade/from/NAME: what to do with it first."""
    name = visit.part("name")
    about = ARRIVALS.get(name)
    if about is None:
        return visit.go("/shade")
    wish = visit.asked("wish")
    with visit.library() as library:
        near = desk.find_typed(library, lab=wish, k=3).as_dict() if wish else None
        swatches = near["swatches"] if near else []
        places = desk.fibre_places(library, [s["code"] for s in swatches])
    return visit.page(
        "shade_from.html", name=name, about=about, wish=wish, swatches=swatches, places=places,
        directions=desk.DIRECTIONS, lab=near["target"]["lab"] if near else None,
    )  # fmt: skip


def like(visit: Visit) -> Response:
    """/shade/like/CODE: like this but lighter."""
    with visit.library() as library:
        shown = desk.show(library, visit.part("code"))
        steps = desk.steps_from(library, shown["code"])
        place = desk.fibre_places(library, [shown["code"]]).get(shown["code"])
    lab = next((m["lab"] for m in reversed(shown["measurements"]) if m["state"] != "wet"), None)
    return visit.page("shade_like.html", swatch=shown, steps=steps, place=place, lab=lab)


def eye(visit: Visit) -> Response:
    """/shade/eye: the nearest of three as somebody far away sees it, and which way theirs lies."""
    steps = [("but", d) for d in visit.all_asked("but") if d in desk.DIRECTIONS]
    code = visit.asked("code")
    if not code:
        return visit.go(f"/shade/from/picture?{urlencode({'wish': visit.asked('wish')})}")
    return visit.go(f"/shade/baths?{urlencode([('shade', code), *steps])}")


def baths(visit: Visit) -> Response:
    """/shade/baths?shade=...: baths for a shade, side by side."""
    asked = request_of(visit)
    if not (asked["shade"] or asked["draft"]):
        return visit.go("/shade")
    draft = found(visit, asked["draft"])[1] if asked["draft"] and not asked["shade"] else None

    def work(_: Any) -> dict[str, Any]:
        with visit.library() as library:
            return _payload(library, asked, draft)

    try:
        return answered(visit, "Looking for baths", work, lambda done: _page(visit, done, asked))
    except SwatchbathError as error:
        wrong = on_a_page(error) if draft is None else drafts.words(error, draft)
        with visit.library() as library:
            words = desk.choices(library)
        return visit.page(
            "baths.html", status=422, wrong=wrong, asked=asked, answer=None,
            choices=words, close=CLOSE, query=_query(asked), places={},
        )  # fmt: skip


def dye(visit: Visit) -> Response:
    """A code for one of the baths, which keeps what was asked and expected."""
    fields = visit.typed_fields()
    asked = {n: fields.get(n, "") for n in _KEPT} | {
        n: visit.all_typed(n) for n in ("but", "cupboard", "limit")
    }
    with visit.library() as library:
        draft = (
            found(visit, fields["draft"])[1] if fields.get("draft") and not asked["shade"] else None
        )
        answer = _suggest(library, asked, draft, dye=int(fields.get("number", "1")))
    given = answer.as_dict()["given_out"]
    more = {n: asked[n] for n in ("grams", "pot") if asked[n]}
    said = f"Write {given['code']} on the tag. It keeps what was asked and what to expect."
    return visit.go(f"/again/{given['code']}?{urlencode(more)}", said=said, undo=True)


def request_of(visit: Visit) -> dict[str, Any]:
    """What the address asks of a bath."""
    one = {n: visit.asked(n) for n in _KEPT}
    return one | {n: visit.all_asked(n) for n in ("but", "cupboard", "limit")}


def _query(asked: dict[str, Any], **other: Any) -> str:
    """The address that asks the same, but for what is given here."""
    return urlencode({n: v for n, v in (asked | other).items() if v}, doseq=True)


def limits_of(asked: dict[str, Any]) -> list[str]:
    """The limits as the command line has them."""
    limits = [f"fibre={asked['fibre']}"] if asked["fibre"] else []
    limits += [f"dyestuff={','.join(asked['cupboard'])}"] if asked["cupboard"] else []
    return limits + [part.strip() for text in asked["limit"] for part in text.split(";")]


def _in_photo(draft: Any) -> dict[str, Any]:
    """Where the shade, the card and her own swatches lie in a photo, as it was marked."""
    fields = draft.said.get("fields", {})
    one = {n: (fields.get(n) or [""])[0] for n in ("card", "shade", "codes")}
    own = [v for v in fields.get("at", []) if v]
    codes = [c for c in one["codes"].replace(";", ",").replace(" ", ",").split(",") if c]
    if len(own) != len(codes):
        raise BadValue(
            f"{len(own)} of your own swatches are marked, and {len(codes)} codes told. Give one "
            "code for each mark, in their order."
        )
    beside = tuple(f"{code}={at}" for code, at in zip(codes, own, strict=True))
    return {
        "photo": str(draft.path), "card": one["card"] or None, "at": one["shade"],
        "in_frame": desk.InFrame(beside=beside),
    }  # fmt: skip


def _suggest(library: Any, asked: dict[str, Any], draft: Any = None, **more: Any) -> Any:
    if draft is not None:
        more |= _in_photo(draft)
    steps: dict[str, int] = {}
    for direction in asked["but"]:
        steps[direction] = steps.get(direction, 0) + 1
    return desk.suggest_typed(
        library, asked["shade"] or None, limits=limits_of(asked), but=steps,
        grams=asked["grams"] or None, pot=asked["pot"] or None, tolerance=_close(asked["close"]),
        **more,
    )  # fmt: skip


def _close(text: str) -> float:
    """How close it must be, as typed or picked."""
    try:
        return float(text.replace(",", ".")) if text else 2.0
    except ValueError:
        raise BadValue(f"How close it must be is a number such as 2 or 4, not '{text}'.") from None


def _payload(library: Any, asked: dict[str, Any], draft: Any = None) -> dict[str, Any]:
    done: dict[str, Any] = _suggest(library, asked, draft).as_dict()
    if draft is not None:
        done["target"]["called"] = f"the shade in {draft.called}"
    poor = done["ideas"] and not done["out_of_reach"] and done["ideas"][0]["chance_within"] < 0.2
    codes = {p["code"] for i in done["ideas"] for p in i["precedents"]}
    codes |= {s["code"] for s in done["nearest"]}
    codes |= {done["target"]["code"]} if done["target"]["code"] else set()
    return {
        "answer": done,
        "places": desk.fibre_places(library, sorted(codes)),
        "choices": desk.choices(library),
        "poor": bool(poor),
    }


def _page(visit: Visit, done: dict[str, Any], asked: dict[str, Any]) -> Response:
    return visit.page(
        "baths.html", asked=asked, answer=done["answer"], choices=done["choices"], close=CLOSE,
        places=done["places"], poor=done["poor"], query=_query(asked),
    )  # fmt: skip


routes = [
    get("/shade", start),
    get("/shade/from/{name}", arrival),
    get("/shade/like/{code}", like),
    get("/shade/eye", eye),
    get("/shade/baths", baths),
    post("/shade/dye", dye),
]
