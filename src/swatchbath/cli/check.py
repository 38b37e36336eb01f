"""swatchbath check."""

from __future__ import annotations

from typing import Any

import click

from .options import json_option
from .screen import listed, say, say_json

MARKS = {"fine": "●", "doubtful": "◐", "refused": "○"}


@click.command()
@click.argument("photo", type=click.Path())
@click.option("--card", metavar="X,Y[,HALF]", help="Where the grey card is.")
@click.option(
    "--swatch",
    "swatches",
    metavar="NAME=X,Y[,HALF]",
    multiple=True,
    help="Where a swatch is; once for each.",
)
@click.option("--linear", is_flag=True, help="The file's values are proportional to light.")
@json_option
@click.pass_context
def check(ctx: click.Context, /, linear: bool, as_json: bool, **how: Any) -> None:
    """Tell how good a photo is for colour, and how to take a better one.

    \b
    Examples:
      swatchbath check pots.jpg
      swatchbath check pots.jpg --card 410,220 --swatch a=900,480

    Judges the whole photo, and the card and swatches where they are pointed at or lie
    on a photo sheet. What is wrong comes first, each with what to do. Exit 1 when the
    photo cannot be used for colour.
    """
    from .. import desk

    payload = desk.check(encoding="linear" if linear else None, **how)
    if as_json:
        say_json("check", payload)
    else:
        first, *rest = payload["words"]
        say(f"{MARKS[payload['level']]} {first}")
        for sentence in rest:
            say(sentence, indent=2)
        listed("About the photo:", payload["notes"])
        listed("For a better one:", payload["advice"])
    ctx.exit(1 if payload["level"] == "refused" else 0)
