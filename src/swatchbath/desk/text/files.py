"""Files written whole or not at all, and never over one that is not ours to replace."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from ...errors import BadValue


def check_free(path: Path, *, what: str, instead: str, ours: Callable[[Path], bool]) -> None:
    """BadValue when `path` cannot be written: no such folder, a folder itself, or a file that is
    there and not `ours` to replace. what : names the file ("the photo sheet"); instead : what to
    do ("Give another name with --out")."""
    if not path.parent.is_dir():
        raise BadValue(f"There is no folder {path.parent} for {what}. {instead}.")
    if path.is_dir():
        raise BadValue(f"{path} is a folder, so {what} cannot be written there. {instead}.")
    if path.exists() and not ours(path):
        raise BadValue(f"There is a file {path} already, so {what} was not written. {instead}.")


def write_whole(path: Path, data: bytes, *, what: str, instead: str) -> None:
    """Write a file beside its place and move it there, so that it is never there in part."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        try:
            part.write_bytes(data)
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise BadValue(
            f"{what[0].upper() + what[1:]} cannot be written to {path}: {error.strerror}. "
            f"{instead}."
        ) from error
