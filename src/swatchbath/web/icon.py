"""An icon that opens the page: a file each system takes for one, with a library's folder in it."""

from __future__ import annotations

import os
import plistlib
import shlex
import sys
from collections.abc import Callable
from pathlib import Path

from ..errors import BadValue, LibraryError, NotFound

NAME = "Swatches"
_PICTURE = Path(__file__).parent / "static" / "mark.svg"


def write_icon(library: Path, where: str | Path | None = None, *, system: str = "") -> Path:
    """Write an icon that opens the page of a library; returns what was written.

    where : the folder it is put in, which must be there; None: the desktop. system : as
    sys.platform has it, of this machine unless said. An icon of this name that is there is written
    anew. Raises NotFound where the folder is not there, LibraryError where it cannot be written.
    """
    folder = _desktop() if where is None else Path(where).expanduser()
    if not folder.is_dir():
        raise NotFound(f"There is no folder {folder}. Name one that is there: --icon FOLDER")
    words = [sys.executable, "-m", "swatchbath.cli", "page", "--library", str(library.absolute())]
    if any(c in word for word in words for c in "\n\r\0"):
        raise BadValue("The folder's name holds a line break. Rename it first.")
    try:
        return _of_system(system or sys.platform)(folder, words)
    except OSError as error:
        raise LibraryError(
            f"The icon cannot be written to {folder}: {error.strerror}. Name another folder: "
            "--icon FOLDER"
        ) from error


def _desktop() -> Path:
    from platformdirs import user_desktop_path

    return user_desktop_path()


def _of_system(system: str) -> Callable[[Path, list[str]], Path]:
    return {"darwin": _mac, "win32": _windows}.get(system, _linux)


def _linux(folder: Path, words: list[str]) -> Path:
    """A desktop entry (freedesktop.org, Desktop Entry Specification 1.5, from memory)."""
    text = (
        "[Desktop Entry]\nType=Application\nVersion=1.5\n"
        f"Name={NAME}\nComment=Your swatches and their baths\n"
        f"Exec={' '.join(map(_quoted, words))}\nIcon={_PICTURE}\nTerminal=false\n"
        "Categories=Graphics;\n"
    )
    return _written(folder / f"{NAME}.desktop", text, runs=True)


def _quoted(word: str) -> str:
    """A word of an Exec line: in double quotes, then as a string of the file."""
    inside = "".join(f"\\{c}" if c in '"`$\\' else c for c in word).replace("%", "%%")
    return '"' + inside.replace("\\", "\\\\") + '"'


def _mac(folder: Path, words: list[str]) -> Path:
    """An application folder: what it is, and a script it runs."""
    inside = folder / f"{NAME}.app" / "Contents"
    (inside / "MacOS").mkdir(parents=True, exist_ok=True)
    about = {
        "CFBundleName": NAME,
        "CFBundleExecutable": NAME,
        "CFBundleIdentifier": "local.swatchbath.page",
        "CFBundlePackageType": "APPL",
    }
    (inside / "Info.plist").write_bytes(plistlib.dumps(about))
    script = f"#!/bin/sh\nexec {' '.join(map(shlex.quote, words))}\n"
    _written(inside / "MacOS" / NAME, script, runs=True)
    return inside.parent


def _windows(folder: Path, words: list[str]) -> Path:
    """A command file that starts Python without a window of its own."""
    python = Path(words[0])
    silent = python.with_name("pythonw.exe")
    words = [str(silent if silent.is_file() else python), *words[1:]]
    line = " ".join('"' + word.replace("%", "%%") + '"' for word in words)
    text = f'@echo off\nchcp 65001 >nul\nstart "" {line}\n'
    return _written(folder / f"{NAME}.cmd", text.replace("\n", "\r\n"))


def _written(file: Path, text: str, *, runs: bool = False) -> Path:
    """The file, whole or not at all. runs : whether it may be run."""
    part = file.with_name(f".{file.name}.part")
    try:
        part.write_bytes(text.encode("utf-8"))
        if runs:
            part.chmod(0o755)
        os.replace(part, file)
    finally:
        part.unlink(missing_ok=True)
    return file
