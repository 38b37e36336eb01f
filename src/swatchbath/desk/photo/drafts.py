"""Photos that are being marked, before anything of them is on record: a file and its marks each.

They lie in a folder of their own, the photo under the hash of its content as a library would keep
it, and beside it `HASH.json` with what was marked so far. A photo half marked is there tomorrow.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ...errors import BadValue, LibraryError, NotFound, PhotoRefused
from ...library.rows import photo_files
from ...photo import Region
from ...photo.file.trial import try_photo
from ...photo.place.preview import crop, preview
from .fibre import decoded

# Below a library's folder; verify knows it, and no backup holds what is not on record yet.
DRAFTS = photo_files.DRAFTS
# Where a touch has no size of its own: a share of the photo's long side, for drawing and for bare
# paper. Our own choice.
TOUCH = 0.015
# Files of a folder that are photos by their ending; others are passed over.
ENDINGS = {
    ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".heic", ".heif", ".webp",
    ".dng", ".cr2", ".cr3", ".nef", ".arw", ".raf", ".orf", ".rw2",
}  # fmt: skip
# A file that changed less than this ago may still be arriving, s. Our own choice.
_STILL = 2.0
# Which files of a watched folder were taken before; below the drafts.
_TAKEN = ".taken.json"
_ID = re.compile(r"[0-9a-f]{64}")
_NOTES = {"marks": dict, "said": dict}


@dataclass(frozen=True)
class Draft:
    """A photo that is being marked. id : the hash of its content. path : of the file. called : her
    own name of it. size : width and height, upright. marks : places by field, as typed. said :
    what else was told of it."""

    id: str
    path: Path
    called: str
    size: tuple[int, int]
    marks: Mapping[str, str] = field(default_factory=dict)
    said: Mapping[str, Any] = field(default_factory=dict)


def new_draft(folder: Path, called: str, data: bytes) -> Draft:
    """Put a photo among the drafts of a folder; the same one twice is one, with the marks it has.

    called : her file's name, of which the ending alone is used. It is opened once by another
    process first. Raises PhotoRefused, LibraryError.
    """
    name = re.split(r"[/\\]", called)[-1][:200] or "photo"
    ending = re.search(r"\.\w{1,16}\Z", name)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".part-") as part:
            came = Path(part) / f"photo{ending[0].lower() if ending else ''}"
            came.write_bytes(data)
            try:
                try_photo(came)
                kept = photo_files.read(came)
            except PhotoRefused as error:
                raise PhotoRefused(str(error).replace(came.name, name)) from error
            came.write_bytes(kept.data)
            path = folder / Path(kept.file).name
            os.replace(came, path)
        notes = _notes(folder, kept.digest)
        if not notes:
            size = list(decoded(path).size)
            _write(folder, kept.digest, {"called": name, "size": size, "file": path.name})
    except OSError as error:
        raise LibraryError(
            f"The photo cannot be put into {folder}: {error.strerror}. Make room there."
        ) from error
    return draft(folder, kept.digest)


def new_in_folder(watched: Path, folder: Path) -> list[Path]:
    """Photos of a watched folder that were not taken into the drafts of `folder` yet."""
    if not watched.is_dir():
        return []
    before = set(_taken(folder))
    out = []
    for path in sorted(watched.iterdir()):
        if path.suffix.lower() not in ENDINGS or path.name.startswith(".") or not path.is_file():
            continue
        if time.time() - path.stat().st_mtime >= _STILL and _sign(path) not in before:
            out.append(path)
    return out


def take_from_folder(
    paths: Sequence[Path], folder: Path, *, progress: Callable[[int, int, str], None]
) -> list[str]:
    """Photos of a watched folder into the drafts; sentences about those that cannot be used. None
    is taken twice, and the folder stays as it is."""
    refused = []
    for i, path in enumerate(paths):
        progress(i, len(paths), path.name)
        try:
            new_draft(folder, path.name, path.read_bytes())
        except (PhotoRefused, OSError) as error:
            refused.append(f"{path.name}: {error}")
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        taken = [*_taken(folder), _sign(path)]
        _whole(folder, folder / _TAKEN, taken)
    return refused


def _taken(folder: Path) -> list[str]:
    try:
        found = json.loads((folder / _TAKEN).read_text("utf-8"))
    except (OSError, ValueError):
        return []
    return [str(v) for v in found] if isinstance(found, list) else []


def _sign(path: Path) -> str:
    """What tells a file from another of its name."""
    about = path.stat()
    return f"{path.name} {about.st_size} {about.st_mtime_ns}"


def draft(folder: Path, name: str) -> Draft:
    """A draft by its id. Raises NotFound."""
    found = _notes(folder, name) if _ID.fullmatch(name) else {}
    path = folder / str(found.get("file"))
    if not found or not _ID.match(path.name) or not path.is_file():
        raise NotFound("This photo is not there any more. Add it again.")
    return Draft(
        name, path, found["called"], (found["size"][0], found["size"][1]),
        found.get("marks", {}), found.get("said", {}),
    )  # fmt: skip


def drafts(folder: Path) -> list[Draft]:
    """All drafts of a folder, oldest first."""
    names = sorted(folder.glob("*.json"), key=lambda p: (p.stat().st_mtime, p.name))
    out = []
    for path in names:
        try:
            out.append(draft(folder, path.stem))
        except NotFound:
            continue
    return out


def change_draft(
    folder: Path,
    name: str,
    *,
    marks: Mapping[str, str] | None = None,
    said: Mapping[str, Any] | None = None,
) -> Draft:
    """Keep what was marked, or told, of a draft in the place of what was. Raises NotFound."""
    draft(folder, name)
    notes = _notes(folder, name)
    notes |= {} if marks is None else {"marks": dict(marks)}
    notes |= {} if said is None else {"said": dict(said)}
    _write(folder, name, notes)
    return draft(folder, name)


def drop_draft(folder: Path, name: str) -> None:
    """Take a draft away: it is on record now, or not wanted."""
    found = draft(folder, name)
    (folder / f"{name}.json").unlink(missing_ok=True)
    found.path.unlink(missing_ok=True)


def move_draft(name: str, folder: Path, to: Path) -> Draft:
    """Put a draft of one folder into another, with its marks."""
    found = draft(folder, name)
    moved = new_draft(to, found.called, found.path.read_bytes())
    change_draft(to, moved.id, marks=found.marks, said=found.said)
    drop_draft(folder, name)
    return draft(to, moved.id)


def draft_picture(
    found: Draft, *, longest: int = 1600, places: Mapping[str, Region] | None = None
) -> bytes:
    """A JPEG (upright, sRGB, without metadata) of a draft with places drawn on it."""
    return preview(decoded(found.path), places or {}, longest=longest)


def draft_fibre(found: Draft, place: Region, *, longest: int = 480) -> bytes:
    """A JPEG of one place alone."""
    return crop(decoded(found.path), place, longest=longest)


def place_typed(text: str, size: tuple[int, int]) -> Region:
    """x,y,half as a place; x,y as one of the usual size. size : of the photo. Raises BadValue."""
    parts = [p for p in re.split(r"[,;\s]+", text.strip()) if p]
    try:
        numbers = [float(p) for p in parts]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3):
        raise BadValue(f"'{text}' is no place in a photo; it is x,y or x,y,half.")
    half = numbers[2] if len(numbers) == 3 else max(size) * TOUCH
    return Region(numbers[0], numbers[1], half)


def _notes(folder: Path, name: str) -> dict[str, Any]:
    """What is kept beside a draft; nothing where there is none, or it is not ours."""
    try:
        found = json.loads((folder / f"{name}.json").read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    whole = isinstance(found, dict) and isinstance(found.get("called"), str)
    size = found.get("size") if whole else None
    if not isinstance(size, list) or len(size) != 2 or not all(isinstance(v, int) for v in size):
        return {}
    if any(not isinstance(found.get(key, kind()), kind) for key, kind in _NOTES.items()):
        return {}
    return dict(found)


def _write(folder: Path, name: str, notes: Mapping[str, Any]) -> None:
    _whole(folder, folder / f"{name}.json", dict(notes))


def _whole(folder: Path, path: Path, values: object) -> None:
    """Values as JSON, whole or not at all."""
    handle, part = tempfile.mkstemp(dir=folder, prefix=".part-")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(values, file, ensure_ascii=False)
        os.replace(part, path)
    except OSError as error:
        Path(part).unlink(missing_ok=True)
        raise LibraryError(
            f"What was marked cannot be kept in {folder}: {error.strerror}. Make room there."
        ) from error
