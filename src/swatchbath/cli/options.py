"""Options that several verbs share."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

_Command = Callable[..., Any]


def library_folder(named: str | None) -> Path:
    """The library's folder: --library, else SWATCHBATH_LIBRARY, else the user's data folder."""
    if named or os.environ.get("SWATCHBATH_LIBRARY"):
        return Path(named or os.environ["SWATCHBATH_LIBRARY"]).expanduser()
    from platformdirs import user_data_path

    return user_data_path("swatchbath", appauthor=False) / "library"


@contextmanager
def opened(named: str | None) -> Iterator[Any]:
    """The library of --library, open; what in it could not be read is said on standard error."""
    from .. import desk

    with desk.open_library(library_folder(named)) as library:
        yield library
        for sentence in library.issues:
            click.echo(f"swatchbath: {sentence}", err=True)


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
