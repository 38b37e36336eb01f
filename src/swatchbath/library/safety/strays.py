"""What lies in a library's folder beside the library: leftovers, copies, other programs' signs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from ..connection import BEFORE
from ..library import Library
from ..rows import photo_files as photos
from . import synced_folder

Level = Literal["wrong", "look", "note"]


# What was learnt from the record lies beside it, and may be deleted.
LEARNT = "learnt.json"


@dataclass(frozen=True)
class Finding:
    """One thing found. level : wrong (something is lost or in danger), look (worth a look), note
    (good to know). what : its kind. sentence : what and where. remedy : what to do."""

    level: Level
    what: str
    sentence: str
    remedy: str

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return dict(vars(self))


def leftovers(library: Library) -> Iterator[Finding]:
    """Files in a library's folder that are no part of it, or not yet."""
    folder = library.folder
    for path in library.orphans():
        yield Finding(
            "look",
            "orphan",
            f"{photos.FOLDER}/{path.name} belongs to no record.",
            "It is left from a program that was stopped, or somebody put it there. Record it if "
            "it is wanted; else it may be removed.",
        )
    for path in photos.parts(folder):
        yield Finding(
            "look",
            "leftover",
            f"{photos.FOLDER}/{path.name} is half a photo.",
            "Another program is writing just now, or was stopped; the next opening removes it.",
        )
    half_marked = list((folder / photos.DRAFTS).glob("*.json"))
    if half_marked:
        yield Finding(
            "note",
            "half marked",
            f"{len(half_marked)} photo{'s' * (len(half_marked) != 1)} in {photos.DRAFTS} "
            f"{'are' if len(half_marked) != 1 else 'is'} not on record yet.",
            "No backup holds what is not on record. Mark and record them on the page.",
        )
    known = re.compile(
        rf"library\.sqlite(-wal|-shm|-journal)?|{photos.FOLDER}|{photos.DRAFTS}"
        rf"|{re.escape(LEARNT)}|{BEFORE}\d+-[\d-]+\.sqlite"
    )
    for path in sorted(folder.iterdir()):
        if path.name.startswith(BEFORE):
            yield Finding(
                "note",
                "copy",
                f"{path.name} is the library as it was before a newer version changed its layout.",
                "Keep it until a backup has been made since; then it may be removed.",
            )
        elif path.name.startswith(f".{BEFORE}"):
            yield Finding(
                "look",
                "leftover",
                f"{path.name} is half a copy.",
                "It is left from a program that was stopped, and may be removed.",
            )
        elif not known.fullmatch(path.name) and not path.name.startswith("."):
            yield Finding(
                "note",
                "strange",
                f"{path.name} is no part of the library.",
                "It does no harm there, and is not in the backups.",
            )


def folder_signs(folder: Path) -> Iterator[Finding]:
    """Signs that the folder is kept in step with another computer."""
    for name in synced_folder.clashes(folder):
        yield Finding(
            "look",
            "clash",
            f"{name} looks like a second copy of a file, made when two computers met.",
            "Close the program on the other computer, look which copy is right, and move the "
            "other one out of the folder.",
        )
    if synced_folder.is_kept_in_step(folder):
        yield Finding("look", "kept in step", *KEPT_IN_STEP)


KEPT_IN_STEP = (
    "The library seems to lie in a folder that is kept in step with another computer.",
    "Use it on one computer at a time and close it before you change over, or move the library "
    "out of there and put the backups there instead.",
)
