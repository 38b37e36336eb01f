"""Photos that are being marked: where they lie, what was sent, and where a click was."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from .. import desk
from ..errors import BadValue, NotFound, SwatchbathError
from .rendering import on_a_page
from .visit import Visit

# The long side of the picture that is clicked on where no script helps, in pixels.
CLICKED = 960
# Bytes of one photo. Our own choice: raw files of large cameras have about a hundred million.
_LARGEST = 200_000_000


def scratch(visit: Visit) -> Path:
    """Where photos lie that are only asked about: as long as this server lives."""
    return visit.shared.scratch


def kept(visit: Visit) -> Path:
    """Where photos lie that are to go on record: in the library's folder, until they do."""
    return visit.folder / desk.DRAFTS


def found(visit: Visit, name: str) -> tuple[Path, Any]:
    """A photo that is being marked, and its folder. Raises NotFound."""
    for folder in (scratch(visit), kept(visit)):
        try:
            return folder, desk.draft(folder, name)
        except NotFound as error:
            missing = error
    raise missing


def sent(visit: Visit, folder: Path, name: str = "photo") -> list[Any]:
    """The photos of a form's field, put into a folder. Raises BadValue where none was sent."""
    files = visit.files(name)
    if not files:
        raise BadValue("No photo was chosen. Choose one first.")
    out = []
    for file in files:
        if (file.size or 0) > _LARGEST:
            raise BadValue(f"{file.filename} is larger than {_LARGEST // 1_000_000} MB.")
        out.append(desk.new_draft(folder, file.filename or "photo", file.file.read()))
    return list({one.id: one for one in out}.values())


def marked_as(draft: Any) -> str:
    """What tells one state of a photo's marks from another: it stands in the address of an answer,
    so that a kept answer is of these marks."""
    return hashlib.sha256(json.dumps(draft.said, sort_keys=True).encode()).hexdigest()[:12]


def mark(
    name: str,
    label: str,
    value: str = "",
    *,
    needed: bool = False,
    more: bool = False,
    hint: str = "",
    key: str = "",
    short: str = "",
) -> dict[str, Any]:
    """One thing to be marked, for marking.html. name : of its field. label : what it is called, in
    a sentence; short : on the picture. more : whether it is one of any number. key : what chooses
    it, where several fields have one name."""
    return {
        "name": name, "label": label, "short": short or label.removeprefix("the "), "value": value,
        "needed": needed, "more": more, "hint": hint, "key": key or name, "chosen": False,
    }  # fmt: skip


def choose(marks: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The marks, with the first that has no place yet chosen to be the next."""
    free = [m for m in marks if m["needed"] and not m["value"]]
    for one in (free or [m for m in marks if not m["value"]] or marks)[:1]:
        one["chosen"] = True
    return marks


def clicked(read: Callable[[str], str], draft: Any, name: str = "place") -> str:
    """Where the picture was clicked, as x,y in the whole photo; "" where it was not."""
    x, y = read(f"{name}.x"), read(f"{name}.y")
    if not (re.fullmatch(r"\d{1,5}", x) and re.fullmatch(r"\d{1,5}", y)):
        return ""
    scale = max(max(draft.size) / CLICKED, 1.0)
    return ",".join(f"{(int(v) + 0.5) * scale - 0.5:.0f}" for v in (x, y))


def words(error: SwatchbathError, *drafts: Any) -> str:
    """The sentence of an error with her own name of a photo in it."""
    said = on_a_page(error)
    for one in drafts:
        said = said.replace(one.path.name, one.called)
    return said
