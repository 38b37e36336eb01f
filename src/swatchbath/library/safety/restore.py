"""A backup put back into a folder of its own, verified before the folder is there."""

from __future__ import annotations

import os
import shutil
import tempfile
import zipfile
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from ...errors import BadValue, LibraryError, NotFound
from ..connection import FILE, PRIVATE, PRIVATE_FOLDER, translate_errors
from ..rows.photo_files import FOLDER
from ..unpacking import blocks
from .backup import check
from .verify import Verified, verify

# What may be wrong in a backup that is put back all the same.
_BORNE = ("photo missing", "reading")


def restore(file: str | Path, folder: str | Path) -> Verified:
    """Put a backup back into a new folder; returns what `verify` says of it.

    Nothing that is there is touched: the folder must be new or empty, and is there only when all
    is written and read back. Raises NotFound, BadValue or LibraryError.
    """
    source, target = Path(file).expanduser(), Path(folder).expanduser()
    if not source.is_file():
        raise NotFound(f"There is no backup {source}. Look at its name again.")
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise BadValue(
            f"{target} is not empty, and a backup never goes over something that is there. Name a "
            "new folder."
        )
    if not target.absolute().parent.is_dir():
        raise NotFound(f"There is no folder {target.absolute().parent} to make {target.name} in.")
    with translate_errors(source):
        names = check(source)
    with translate_errors(target):
        part = Path(tempfile.mkdtemp(dir=target.absolute().parent, prefix=f".{target.name}.part-"))
        try:
            _unpack(source, part, names)
            # Another way through the same code as any day: open it and read it all.
            try:
                verified = verify(part)
            except LibraryError as error:
                raise LibraryError(_of_backup(str(error), part, source)) from error
            # One photo or one reading lost is no reason to lose all the others.
            wrong = next(
                (f for f in verified.findings if f.level == "wrong" and f.what not in _BORNE), None
            )
            if wrong is not None:
                raise LibraryError(
                    f"The backup {source} was read, but what it holds is not right: "
                    f"{_of_backup(wrong.sentence, part, source)} Nothing was restored; take "
                    "another backup."
                )
            if target.exists():
                target.rmdir()
            part.chmod(PRIVATE_FOLDER)
            os.replace(part, target)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return replace(verified, folder=target)


def _of_backup(sentence: str, part: Path, source: Path) -> str:
    return sentence.replace(str(part / FILE), f"{FILE} in the backup {source}")


def _unpack(source: Path, part: Path, names: Iterable[str]) -> None:
    """Unpack what `check` has seen: every name is one of a library's own."""
    (part / FOLDER).mkdir(mode=PRIVATE_FOLDER)
    with zipfile.ZipFile(source) as held:
        for name in names:
            handle = os.open(part / name, os.O_CREAT | os.O_EXCL | os.O_WRONLY, PRIVATE)
            with os.fdopen(handle, "wb") as out:
                for block in blocks(held, name):
                    out.write(block)
                out.flush()
                os.fsync(out.fileno())
