"""swatchbath backup."""

from __future__ import annotations

import click

from .options import library_options, opened
from .screen import echo, listed, progress, say, say_json


@click.command()
@click.argument("folder", required=False)
@library_options
def backup(folder: str | None, library: str | None, as_json: bool) -> None:
    """Make a backup of the library: one dated file.

    \b
    Examples:
      swatchbath backup /media/stick
      swatchbath backup

    FOLDER, best on another disk, is named once and remembered. The file holds the
    records, the photos and a list of checksums, and is read back before it counts. It
    is a plain ZIP; swatchbath restore puts it back.
    """
    from .. import desk

    with opened(library, as_it_is=True) as lib, progress(as_json) as bar:
        done = desk.backup(lib, folder, progress=bar)
    if as_json:
        say_json("backup", done.as_dict())
        return
    say("Backed up to")
    echo(f"  {done.file}")
    swatches = desk.counted(done.swatches, "swatch", "swatches")
    size = f"{done.size / 1e6:.1f} MB"
    say(f"{swatches} and {desk.counted(done.photos, 'photo')}, {size}, read back and compared.")
    if not done.noted:
        say(
            "The library could not note this backup: its disk is full or may only be read, or "
            "another program is writing. Name the folder again next time."
        )
    listed(
        "Missing, altered or unreadable, and so not in the backup; see swatchbath verify:",
        done.left_out,
    )
