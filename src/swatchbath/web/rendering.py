"""Templates filled in: always escaped, with the few words and shapes that all of them use."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from starlette.responses import HTMLResponse

# Where the others are, in the order of a day. The first part of an address -> words.
WAYS = (
    ("/", "Start"),
    ("/add", "Add photos"),
    ("/shade", "Ask for a shade"),
    ("/match", "Do these match?"),
    ("/box", "The box"),
    ("/sure", "How sure"),
)


@cache
def _templates() -> Any:
    from .. import desk
    from ..paper import environment

    found = environment("swatchbath.web")
    found.globals.update(where_to=WAYS, counted=desk.counted)
    found.filters.update(
        day=desk.day_words,
        when=desk.when_words,
        here=on_a_page,
        chance=desk.chance_words,
        first_large=lambda text: text if text[:2] == "pH" else text[:1].upper() + text[1:],
        figures=lambda lab: "L* {}  a* {}  b* {}".format(*(round(v) for v in lab)),
    )
    return found


def html(template: str, status: int = 200, **values: Any) -> HTMLResponse:
    """A template as an answer."""
    return HTMLResponse(_templates().get_template(template).render(**values), status)


def error_page(status: int, sentence: str, *, bare: bool = False) -> HTMLResponse:
    """A page that says what is wrong. bare : without the ways on, for whoever is not let in."""
    return html(
        "error.html",
        status,
        sentence=sentence,
        bare=bare,
        here="",
        said=[],
        token="",
        wrong=None,
        looking_round=False,
    )


def opening_page(path: str, cookie: str, secret: str) -> HTMLResponse:
    """Let her in: the cookie, and a page that goes on to the address without its key.

    A page and not a redirect: a browser keeps a strict cookie back on a redirect that began at a
    link somewhere else, and sends it from a page of ours.
    """
    # A second slash at the front would name another host.
    answer = html("opening.html", 200, to="/" + path.lstrip("/\\"))
    answer.set_cookie(cookie, secret, httponly=True, samesite="strict", path="/")
    return answer


# Commands that a sentence of the desk may end in, and where a page does the same.
_COMMANDS = (
    (r" \(swatchbath verify tells more\)", ""),
    (r"swatchbath bin (\w+) --take-out", "under Backup and bin"),
    (r"swatchbath restore FILE FOLDER", "swatchbath restore FILE FOLDER, in a terminal"),
    (r"Make one to another disk: swatchbath backup FOLDER", "Make one to another disk"),
    (r"take a second photo: add --swapped second\.jpg", "add a second photo below"),
    (
        r", take a photo, swap them, and take another: swatchbath compare [^.]*\.jpg [^.]*\.",
        ", take a photo, swap them, and take another: under Do these match?, with a photo.",
    ),
    (r"--photo, and --at twice", "a photo, and a mark on each"),
    (r"Both --at lie on one place; point at", "Both marks lie on one place; mark"),
    (r"say where it is: --card x,y", "mark it too"),
    (
        r"say where it is bare, at six places around them: --paper x,y,half",
        "mark where it is bare, at six places around them",
    ),
    (
        r"point at the card and the swatches with --card x,y --swatch name=x,y",
        "mark the card and the swatches",
    ),
    (r": --card x,y --swatch name=x,y\.", ": mark the card and the swatches."),
    (r"point at a card elsewhere with --card x,y", "mark a card elsewhere"),
    (r"point at the swatches with --swatch name=x,y", "mark the swatches"),
    (
        r"Say where the skeins are, --at x,y once for each, and where a grey card is, if there is "
        r"one: --card x,y",
        "Mark the skeins, and a grey card if there is one",
    ),
    (
        r"Lay a chart of 24 colours beside them and say where its four corners are: --chart\.",
        "Lay a chart of 24 colours beside them and record the two from that photo.",
    ),
    (
        r"Touch the middle of it, or mark a square on it yourself",
        "Tap the middle of it, or drag a square on it",
    ),
    (r"No place for (.+?) was found at \([^)]*\)", r"No place for \1 was found there"),
    (r"Say where in the photo the shade is: --at x,y or x,y,half", "Mark the shade"),
    (r"printed by swatchbath sheet", "printed by swatchbath"),
    (r" \(swatchbath photos, with (\w+) and (\w+) in it\)", r", with \1 and \2 in it"),
    (r" \(swatchbath spread\)", ""),
    (r": swatchbath piece --as \"[^\"]*\" --lies \"[^\"]*\"", ""),
    (r" swatchbath undo brings it back\.", ""),
)


def on_a_page(error: Exception | str) -> str:
    """A sentence, or that of an error, with a page in the place of a command where there is one."""
    words = str(error)
    for command, page in _COMMANDS:
        words = re.sub(command, page, words)
    return words
