"""Options that several verbs share."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from .screen import echo, progress

_Command = Callable[..., Any]


def library_folder(named: str | None) -> Path:
    """The library's folder: --library, else SWATCHBATH_LIBRARY, else the user's data folder."""
    if named or os.environ.get("SWATCHBATH_LIBRARY"):
        return Path(named or os.environ["SWATCHBATH_LIBRARY"]).expanduser()
    from platformdirs import user_data_path

    return user_data_path("swatchbath", appauthor=False) / "library"


def ready_folder(named: str | None) -> Path:
    """As `library_folder`; where a library is there, its readings are of this version."""
    from .. import desk

    folder = library_folder(named)
    if (folder / "library.sqlite").is_file():
        with desk.open_library(folder) as library:
            _bring_up_to_date(library)
    return folder


@contextmanager
def opened(named: str | None, *, as_it_is: bool = False) -> Iterator[Any]:
    """The library of --library, open; what in it could not be read is said on standard error.

    as_it_is : leave readings of an earlier version as they are; else they are made anew first.
    """
    from .. import desk

    with desk.open_library(library_folder(named)) as library:
        if not as_it_is:
            _bring_up_to_date(library)
        yield library
        for sentence in library.issues:
            echo(f"swatchbath: {sentence}", err=True)


def _bring_up_to_date(library: Any) -> None:
    """Make readings of an earlier version anew, once, and say so on standard error."""
    from .. import desk

    for sentence in desk.derived_anew(library):
        echo(f"swatchbath: {sentence}", err=True)
    if library.to_read is None or not library.writable:
        return
    echo(
        "swatchbath: This library was written by an earlier version. Its colours are read anew "
        "from their photos, once; a copy from before is kept beside it "
        f"(library-before-layout-{library.to_read}-...).",
        err=True,
    )
    with progress(False) as bar:
        done = desk.bring_up_to_date(library, progress=bar)
    for sentence in done.sentences if done else ():
        echo(f"swatchbath: {sentence}", err=True)


def library_options(command: _Command) -> _Command:
    """--library FOLDER and --json."""
    return click.option(
        "--library",
        metavar="FOLDER",
        help="Where your library is. Else SWATCHBATH_LIBRARY, else your data folder.",
    )(json_option(command))


def json_option(command: _Command) -> _Command:
    """--json."""
    return click.option("--json", "as_json", is_flag=True, help="Answer as JSON.")(command)
