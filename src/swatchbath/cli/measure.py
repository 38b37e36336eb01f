"""swatchbath measure."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, ready_folder
from .screen import block, echo, listed, reading_line, say, say_json


@click.command()
@click.argument("photo", type=click.Path())
@click.option("--card", metavar="X,Y[,HALF]", help="Where the grey card is.")
@click.option(
    "--card-lab", metavar="L,A,B", help="The card's own colour; else an 18 % grey is assumed."
)
@click.option(
    "--swatch",
    "swatches",
    metavar="NAME=X,Y[,HALF]",
    multiple=True,
    help="Where a swatch is; once for each.",
)
@click.option("--marks", metavar="CSV", help="A table of places: photo, name, kind, x, y, half.")
@click.option(
    "--preview",
    metavar="FILE.jpg",
    help="Where to draw the places that were found; else beside the photo.",
)
@in_frame_options
@library_options
def measure(library: str | None, as_json: bool, **how: Any) -> None:
    """Measure the colour of swatches in a photo with a grey card.

    \b
    Examples:
      swatchbath measure sheet.jpg
      swatchbath measure pots.jpg --card 410,220 --swatch a=900,480
      swatchbath measure pots.jpg --card 410,220,60 --swatch a=900,480,80
      swatchbath measure pots.jpg --card 410,220 --swatch a=900,480 \\
        --further 1500,900,60
      swatchbath measure pots.jpg --swatch a=900,480 \\
        --chart '210,180 930,190 925,640 205,630'
      swatchbath measure leaf.jpg --card 410,220 --swatch leaf=900,480 \\
        --beside 22a=700,480 --beside 07=900,300
      swatchbath measure pots.jpg --marks marks.csv --json

    Swatches and card on a photo sheet (swatchbath sheet) are found and named by it.
    Else say where they are, in pixels of the upright picture from the top left: x,y
    on the thing, which is followed to its edge, or x,y,half for a square of centre
    x,y and half its side; then mark only fibre, and only card. Places that were
    found are drawn on a small picture: look whether they lie right. White and black
    cards, swatches of known colour or a chart in the frame make colours surer; a
    further card or plain paper tells how even the light is. With swatches of your own
    on record beside it (--beside, or by their codes on a sheet) a colour is read as
    your library would read it. Colours are CIELAB for daylight (D65, 2 degree
    observer), each with its give-or-take.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    answer = desk.measure_typed(library=ready_folder(library), **how)
    if as_json:
        say_json("measure", answer)
        return
    for row in answer["swatches"]:
        say(f"{block(row['screen'])}{row['name']}: {row['words']}")
        say(reading_line(row), indent=2)
        for check in row["checks"]:
            say(f"{check['sentence']} {check['remedy']}", indent=2)
    if answer["preview"]:
        found = {"sheet": "by the photo sheet", "touch": "from the points you gave"}
        say(
            f"Places were found {' and '.join(found[h] for h in answer['found'])}. Look whether "
            "they lie right:"
        )
        echo(f"  {answer['preview']}")
    listed("Could not be read:", answer["refused"].values())
    listed("About the photo:", answer["notes"])
