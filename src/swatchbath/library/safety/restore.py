"""A backup put back into a folder of its own, verified before the folder is there."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
import zipfile
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from ...errors import BadValue, LibraryError, NotFound
from ..connection import FILE, translate_errors
from ..rows.photo_files import FOLDER
from ..schema import MIGRATIONS, layout
from .backup import CHECKSUMS, check
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
        check(source)
    with translate_errors(target):
        part = Path(tempfile.mkdtemp(dir=target.absolute().parent, prefix=f".{target.name}.part-"))
        try:
            _unpack(source, part)
            _refuse_newer(part, source)
            # Another way through the same code as any day: open it and read it all.
            verified = verify(part)
            # One photo or one reading lost is no reason to lose all the others.
            wrong = next(
                (f for f in verified.findings if f.level == "wrong" and f.what not in _BORNE), None
            )
            if wrong is not None:
                raise LibraryError(
                    f"The backup {source} was read, but what it holds is not right: "
                    f"{wrong.sentence} Nothing was restored; take another backup."
                )
            if target.exists():
                target.rmdir()
            part.chmod(0o755)
            os.replace(part, target)
        finally:
            shutil.rmtree(part, ignore_errors=True)
    return replace(verified, folder=target)


def _unpack(source: Path, part: Path) -> None:
    (part / FOLDER).mkdir()
    with zipfile.ZipFile(source) as held:
        # `check` has seen that every name is one of a library's own.
        for name in held.namelist():
            if name == CHECKSUMS:
                continue
            with held.open(name) as content, open(part / name, "xb") as out:
                shutil.copyfileobj(content, out, 1 << 20)
                out.flush()
                os.fsync(out.fileno())


def _refuse_newer(part: Path, source: Path) -> None:
    with closing(sqlite3.connect(part / FILE)) as db:
        number = layout(db)
    if number > len(MIGRATIONS):
        raise LibraryError(
            f"The backup {source} was made by a newer swatchbath (layout {number}; this one knows "
            f"{len(MIGRATIONS)}). Install the newer version to restore it; nothing was changed."
        )
