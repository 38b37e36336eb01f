"""swatchbath photos."""

from __future__ import annotations

from typing import Any

import click

from ..errors import BadValue
from .in_frame import in_frame_options, take_in_frame
from .options import library_options, opened, ready_folder
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("paths", nargs=-1, metavar="PHOTO...", type=click.Path())
@click.option("--pot-sheet", is_flag=True, help="They show the handwritten sheet of a pot.")
@click.option("--code", "codes", multiple=True, help="A swatch they show; once for each.")
@click.option("--state", default="dry", show_default=True, help="Or dry washed, dry unwashed, wet.")
@click.option("--days", type=float, help="Days from dyeing to the photos.")
@click.option("--again", is_flag=True, help="Read swatches anew that are on record already.")
@click.option("--reread", is_flag=True, help="Read all photos on record anew; names none.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour, if it is known.")
@in_frame_options
@library_options
@click.pass_context
def photos(ctx: click.Context, /, library: str | None, as_json: bool, **how: Any) -> None:
    """Take in many photos at once, named by the codes in the picture.

    \b
    Examples:
      swatchbath photos saturday/
      swatchbath photos skein.jpg --code 3K7PX
      swatchbath photos sheet.jpg --camera-name "my phone"
      swatchbath photos --reread
      swatchbath photos notebook.jpg --pot-sheet --code 3K7PX --code NJCE3

    Photos of the photo sheet with a grey card are measured; photos with tags in them
    are kept with those swatches, and one with neither becomes a swatch to be described.
    A swatch on record that lies on a sheet with a new one lies beside it: it tells how
    the photo sees, and is not read anew, unless --again says so. A photo of the pot
    sheet stands for the bath until you type it in. --reread makes the colours of all
    photos on record anew, as this version reads them; the old ones are kept. Exit 2
    when every photo was left out.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    if how.pop("reread"):
        _reread(library, as_json, how)
        return
    folder = ready_folder(library)
    with progress(as_json) as bar:
        done = desk.photos(folder, progress=bar, **how)
    nothing = not done.shown  # every photo was left out
    if as_json:
        say_json("photos", done.as_dict())
        ctx.exit(2 if nothing else 0)
    for name, shown in done.shown.items():
        say(f"{name}: {', '.join(shown)}")
    count = desk.counted(done.measured, "colour")
    say(f"{count} read from {desk.counted(len(done.shown), 'photo')}.")
    if done.new:
        say(f"New, to be described; write the code on the tag: {', '.join(done.new)}.")
    listed("About the photos:", done.notes)
    listed("Left out:", done.left_out)
    for told in done.came_out:
        say(told["words"])
    if done.next:
        say(done.next)
    ctx.exit(2 if nothing else 0)


def _reread(library: str | None, as_json: bool, how: dict[str, Any]) -> None:
    from .. import desk

    if how["in_frame"].given or any(v not in (None, (), False, "dry") for v in _others(how)):
        raise BadValue("--reread stands alone: it reads the photos on record, as they were taken.")
    with opened(library, as_it_is=True) as lib, progress(as_json) as bar:
        done = desk.reread(lib, progress=bar)
    if as_json:
        say_json("photos", done.as_dict())
        return
    for sentence in done.sentences or ["There is no photo on record to be read anew."]:
        say(sentence)


def _others(how: dict[str, Any]) -> list[Any]:
    return [value for name, value in how.items() if name != "in_frame"]
