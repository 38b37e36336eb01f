"""swatchbath verify."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from .options import library_folder, library_options
from .screen import listed, progress, say, say_json

if TYPE_CHECKING:
    from ..desk import Verified


@click.command()
@click.option(
    "--photos", metavar="FOLDER", help="Look here for missing or altered photos; put them back."
)
@library_options
@click.pass_context
def verify(ctx: click.Context, photos: str | None, library: str | None, as_json: bool) -> None:
    """Verify the whole library: records, photos and codes.

    \b
    Examples:
      swatchbath verify
      swatchbath verify --library my-swatches --json
      swatchbath verify --photos /media/camera

    Reads every record and every photo, and says what is wrong and what to do. Ends with
    exit code 0 where nothing is wrong, else 1.
    """
    from .. import desk

    folder = library_folder(library)
    with progress(as_json) as bar:
        done = desk.verify(folder, photos=photos, progress=bar)
    if as_json:
        say_json("verify", done.as_dict())
    else:
        say(f"The library in {folder}:")
        show_findings(done)
        if done.readable:
            with desk.open_library(folder) as lib:
                listed("By the way:", [s for s in desk.reminders(lib) if "backup" in s])
    ctx.exit(0 if done.ok else 1)


def show_findings(done: Verified) -> None:
    """What was read, and what was found in it."""
    from .. import desk

    if done.readable:
        say(
            f"{desk.counted(done.swatches, 'swatch', 'swatches')}, "
            f"{desk.counted(done.readings, 'reading')} and "
            f"{desk.counted(done.photos, 'photo')} read.",
            indent=2,
        )
    if done.photos_restored:
        say(f"Put back: {', '.join(done.photos_restored)}.", indent=2)
    titles = {"wrong": "Wrong:", "look": "Have a look:", "note": "Good to know:"}
    for level, title in titles.items():
        listed(title, [f"{f.sentence} {f.remedy}" for f in done.findings if f.level == level])
    if done.ok:
        say("Nothing is wrong.", indent=2)
