"""swatchbath export."""

from __future__ import annotations

import click

from .options import library_folder, library_options
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("folder", type=click.Path())
@library_options
def export(folder: str, library: str | None, as_json: bool) -> None:
    """Write the whole library as plain tables and photos.

    \b
    Examples:
      swatchbath export my-swatches
      swatchbath take my-swatches --library another-library

    CSV for a spreadsheet, JSON with all that is on record, and the photos as they were;
    READ_ME.txt in the folder tells the layout. Cells a spreadsheet would run get an
    apostrophe. swatchbath take makes the library again, without loss.
    """
    from .. import desk

    with progress(as_json) as bar:
        done = desk.export(library_folder(library), folder, progress=bar)
    if as_json:
        say_json("export", done)
        return
    say(
        f"{desk.counted(done['swatches'], 'swatch', 'swatches')}, "
        f"{desk.counted(done['readings'], 'reading')} and "
        f"{desk.counted(done['photos'], 'photo')}: now in {done['folder']}."
    )
    listed("Not in the tables:", done["issues"])
