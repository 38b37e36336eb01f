"""swatchbath restore."""

from __future__ import annotations

import click

from .options import json_option
from .screen import echo, say, say_json
from .verify import show_findings


@click.command()
@click.argument("file", type=click.Path())
@click.argument("folder", type=click.Path())
@json_option
def restore(file: str, folder: str, as_json: bool) -> None:
    """Put a backup back into a new folder, and verify it.

    \b
    Examples:
      swatchbath restore /media/stick/library-2026-11-25-183000.zip again
      swatchbath find weld --library again

    FOLDER must be new or empty: nothing that is there is ever written over. Every
    photo and record is compared before the folder is there.
    """
    from .. import desk

    done = desk.restore(file, folder)
    if as_json:
        say_json("restore", done.as_dict())
        return
    say("Restored to")
    echo(f"  {done.folder}")
    show_findings(done)
    say("To use it: --library with this folder, or SWATCHBATH_LIBRARY.")
