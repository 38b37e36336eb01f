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
)


def on_a_page(error: Exception) -> str:
    """The sentence of an error, with a page in the place of a command where there is one."""
    words = str(error)
    for command, page in _COMMANDS:
        words = re.sub(command, page, words)
    return words
