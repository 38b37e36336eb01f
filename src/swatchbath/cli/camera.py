"""swatchbath camera."""

from __future__ import annotations

from typing import Any

import click

from .options import json_option
from .screen import echo, say, say_json


@click.command()
@click.option(
    "--chart",
    "charts",
    metavar="PHOTO=X,Y,X,Y,X,Y,X,Y",
    multiple=True,
    required=True,
    help="A photo of a 24-patch chart, and the centres of its patches 1, 6, 24 and 19.",
)
@click.option("--light", required=True, help="What you call the light, as 'north window'.")
@click.option("--out", required=True, metavar="FILE.json", help="Where the profile goes.")
@click.option("--chart-lab", metavar="FILE", help="The chart's own colours (CSV or CGATS.17 text).")
@click.option("--overwrite", is_flag=True, help="Replace a file that is there.")
@click.option("--linear", is_flag=True, help="The files' values are proportional to light.")
@json_option
def camera(linear: bool, as_json: bool, **how: Any) -> None:
    """Learn how one camera sees under one light, from photos of a chart.

    \b
    Examples:
      swatchbath camera --chart c1.jpg=210,180,930,190,925,640,205,630 \\
        --light "north window" --out phone.json
      swatchbath measure pots.jpg --card 410,220 --swatch a=900,480 \\
        --camera phone.json

    The profile belongs to that camera in that light, and is refused elsewhere: under
    another light it does harm. Several photos make it better.
    """
    from .. import desk

    payload = desk.camera(encoding="linear" if linear else None, **how)
    if as_json:
        say_json("camera", payload)
        return
    shots = "photo" if payload["photos"] == 1 else "photos"
    say(
        f"{payload['colours']} colours from {payload['photos']} {shots} by "
        f"{payload['camera'] or 'an unnamed camera'}, {payload['light']}:"
    )
    echo(f"  {payload['file']}")
