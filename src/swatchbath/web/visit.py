"""One request of hers: what she asked or typed, her library, and the page that answers."""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
import shutil
import tempfile
import weakref
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from ..errors import BadValue, NotFound, SwatchbathError
from .jobs import Jobs, fault_words
from .rendering import error_page, html, on_a_page

# Fields and files that one form may hold; a field's length in bytes. Our own choice: a page of
# a diary is a few thousand.
_FIELDS, _FILES, _LONGEST = 2000, 200, 200_000


@dataclass(frozen=True)
class Notice:
    """A sentence for the next screen. undo : the change that can be taken back there, or None."""

    words: str
    undo: int | None = None


@dataclass
class Shared:
    """What all requests of one server share. own : where her library is, or will be. sample : an
    invented dye house, once it is made; looking_round : whether that is what is shown. stop :
    ends the server, once what is going on is done. scratch : for photos that are only asked about,
    gone with the server. watched : a folder into which photos come; upload : the page for the
    phone, where it is open."""

    own: Path
    secret: str
    jobs: Jobs
    said: list[Notice] = field(default_factory=list)
    sample: Path | None = None
    looking_round: bool = False
    stop: Callable[[], None] = lambda: None
    watched: Path | None = None
    upload: Any = None
    scratch: Path = field(init=False)

    def __post_init__(self) -> None:
        self.scratch = Path(tempfile.gettempdir(), f"swatchbath-{secrets.token_hex(8)}")
        weakref.finalize(self, shutil.rmtree, self.scratch, ignore_errors=True)

    @property
    def folder(self) -> Path:
        """Where the library is that is looked at: hers, or the invented house."""
        return self.sample if self.looking_round and self.sample is not None else self.own

    def say(self, words: str, *, undo: bool = False) -> None:
        """Say a sentence on the next screen. undo : with a button that takes the last change back,
        which is what the sentence tells of."""
        change = None
        if undo:
            from .. import desk

            with desk.open_library(self.folder) as library:
                change = library.last_change
        self.said.append(Notice(words, change))

    @property
    def token(self) -> str:
        """What a form of ours carries, and no other site can know."""
        return hmac.new(self.secret.encode(), b"form", hashlib.sha256).hexdigest()


class Visit:
    """One request, for the functions in `pages`."""

    def __init__(self, request: Request, form: FormData | None = None) -> None:
        self.request = request
        self.shared: Shared = request.app.state.shared
        self._form = form

    @property
    def folder(self) -> Path:
        """Where her library is, or will be."""
        return self.shared.folder

    @property
    def jobs(self) -> Jobs:
        """Long work that goes on by itself."""
        return self.shared.jobs

    def part(self, name: str) -> str:
        """A part of the address: of /swatch/{code}, "code"."""
        return str(self.request.path_params[name])

    def asked(self, name: str, otherwise: str = "") -> str:
        """What the address asks by a name (?name=...), without blanks around it."""
        return self.request.query_params.get(name, otherwise).strip()

    def all_asked(self, name: str) -> list[str]:
        """Everything the address asks by a name, blanks left out."""
        return [v.strip() for v in self.request.query_params.getlist(name) if v.strip()]

    def typed(self, name: str, otherwise: str = "") -> str:
        """What was typed into a field of the form, without blanks around it."""
        value = None if self._form is None else self._form.get(name)
        return value.strip() if isinstance(value, str) else otherwise

    def all_typed(self, name: str) -> list[str]:
        """What was typed or ticked in all fields of a name, blanks left out."""
        values = [] if self._form is None else self._form.getlist(name)
        return [v.strip() for v in values if isinstance(v, str) and v.strip()]

    def number(self, name: str) -> int:
        """A whole number of the form. Raises BadValue."""
        text = self.typed(name)
        if not re.fullmatch(r"\d{1,9}", text):
            raise BadValue(f"'{text}' is no number here. Go back and load the page again.")
        return int(text)

    def typed_fields(self) -> dict[str, str]:
        """Every text field of the form by name, to be shown again where something is wrong."""
        items = [] if self._form is None else self._form.multi_items()
        return {n: v for n, v in items if isinstance(v, str) and n != "token"}

    def files(self, name: str) -> list[UploadFile]:
        """The files that were sent in a field; `file.file` is the open file, its name is her own
        words and never a path."""
        values = [] if self._form is None else self._form.getlist(name)
        return [v for v in values if isinstance(v, UploadFile) and v.size]

    def has_library(self) -> bool:
        """Whether there is a library in her folder, or what is left of one: opening that says what
        is missing."""
        return (self.folder / "library.sqlite").exists() or (self.folder / "photos").exists()

    @contextmanager
    def library(self, *, create: bool = False) -> Iterator[Any]:
        """Her library, open for this request. Raises NotFound where there is none."""
        from .. import desk

        with desk.open_library(self.folder, create=create) as library:
            yield library

    def page(self, template: str, *, status: int = 200, **values: Any) -> Response:
        """A template filled in."""
        said = list(self.shared.said)
        self.shared.said.clear()
        values = {
            "here": self.request.url.path,
            "token": self.shared.token,
            "said": said,
            "typed": self.typed_fields(),
            "wrong": None,
            "looking_round": self.shared.looking_round,
        } | values
        return html(template, status, **values)

    def go(self, address: str, *, said: str = "", undo: bool = False) -> Response:
        """On to another page; said : a sentence it shows once, with Undo where there is one."""
        if said:
            self.shared.say(said, undo=undo)
        return RedirectResponse(address, status_code=303)


_Function = Callable[[Visit], Response]


def get(path: str, function: _Function) -> Route:
    """A page that answers and writes nothing."""

    async def answered(request: Request) -> Response:
        return await run_in_threadpool(_answer, function, Visit(request))

    return Route(path, answered, methods=["GET"])


def post(path: str, function: _Function) -> Route:
    """A form that writes: refused without the token that only our own pages hold."""

    async def written(request: Request) -> Response:
        async with request.form(
            max_files=_FILES, max_fields=_FIELDS, max_part_size=_LONGEST
        ) as form:
            visit = Visit(request, form)
            if not secrets.compare_digest(
                visit.typed("token").encode(), visit.shared.token.encode()
            ):
                return error_page(
                    403,
                    "This form is from before the page was opened, and nothing was done. Go back, "
                    "load it again, and send it once more.",
                )
            return await run_in_threadpool(_answer, function, visit)

    return Route(path, written, methods=["POST"])


def _answer(function: _Function, visit: Visit) -> Response:
    """The page; what cannot be is a page with its sentence."""
    try:
        return function(visit)
    except NotFound as error:
        return error_page(404, on_a_page(error))
    except SwatchbathError as error:
        return error_page(422, on_a_page(error))
    except Exception as error:  # the last handler: a fault of ours is said plainly too
        return error_page(500, fault_words(error, visit.request.url.path))
