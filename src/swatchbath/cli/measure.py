"""swatchbath measure."""

from __future__ import annotations

import click

from .options import json_option
from .screen import block, listed, reading_line, say, say_json


@click.command()
@click.argument("photo", type=click.Path())
@click.option("--card", metavar="X,Y,HALF", help="Where the grey card is.")
@click.option(
    "--card-lab", metavar="L,A,B", help="The card's own colour; else an 18 % grey is assumed."
)
@click.option(
    "--swatch",
    "swatches",
    metavar="NAME=X,Y,HALF",
    multiple=True,
    help="Where a swatch is; once for each.",
)
@click.option("--marks", metavar="CSV", help="A table of places: photo, name, kind, x, y, half.")
@click.option("--linear", is_flag=True, help="The file's values are proportional to light.")
@json_option
def measure(
    photo: str,
    card: str | None,
    card_lab: str | None,
    swatches: tuple[str, ...],
    marks: str | None,
    linear: bool,
    as_json: bool,
) -> None:
    """Measure the colour of swatches in a photo with a grey card.

    \b
    Examples:
      swatchbath measure pots.jpg --card 410,220,60 --swatch a=900,480,80
      swatchbath measure pots.jpg --marks marks.csv --json

    A place is the centre of a square and half its side, in pixels of the upright
    picture, counted from the top left. Mark only fibre, and only card. Colours are
    CIELAB for daylight (D65, 2 degree observer), each with its give-or-take.
    """
    from .. import desk

    answer = desk.measure_typed(
        photo,
        card=card,
        card_lab=card_lab,
        swatches=swatches,
        marks=marks,
        encoding="linear" if linear else None,
    )
    if as_json:
        say_json("measure", answer)
        return
    for row in answer["swatches"]:
        say(f"{block(row['screen'])}{row['name']}: {row['words']}")
        say(reading_line(row), indent=2)
        for check in row["checks"]:
            say(f"{check['sentence']} {check['remedy']}", indent=2)
    listed("Could not be read:", answer["refused"].values())
    listed("About the photo:", answer["notes"])
