"""The options for what else of known colour or light lies in a photo, which several verbs share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any

import click

_OPTIONS = (
    click.option("--white", metavar="X,Y,HALF,L,A,B", help="A white card with its colour."),
    click.option("--black", metavar="X,Y,HALF,L,A,B", help="A black card with its colour."),
    click.option(
        "--chart",
        metavar="'X,Y X,Y X,Y X,Y'",
        help="A 24-patch chart: the centres of patches 1, 6, 24 and 19.",
    ),
    click.option(
        "--chart-lab", metavar="FILE", help="The chart's own colours (CSV or CGATS.17 text)."
    ),
    click.option(
        "--known", metavar="CSV", help="Swatches of known colour: name, L, a, b; six or more."
    ),
    click.option("--camera", metavar="FILE", help="A profile of this camera under this light."),
    click.option(
        "--further",
        metavar="X,Y,HALF[,L,A,B]",
        multiple=True,
        help="A further card elsewhere, which tells how even the light is; once for each.",
    ),
    click.option(
        "--paper",
        metavar="X,Y,HALF",
        multiple=True,
        help="A place on one plain sheet under everything; two or more tell the same.",
    ),
    click.option(
        "--blank", metavar="PHOTO", help="A photo of a blank sheet in the same place and light."
    ),
    click.option(
        "--beside",
        metavar="CODE=X,Y[,HALF]",
        multiple=True,
        help="A swatch of your own on record that lies there, dry; one to six.",
    ),
    click.option(
        "--camera-name",
        metavar="WORDS",
        help="What you call the camera, where the photo does not say: my phone.",
    ),
    click.option(
        "--sitting", metavar="WORDS", help="What you call the photos taken at one go, one light."
    ),
    click.option("--linear", is_flag=True, help="The file's values are proportional to light."),
)


def in_frame_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--white, --black, --chart, --chart-lab, --known, --camera, --further, --paper, --blank,
    --beside, --camera-name, --sitting, --linear."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def take_in_frame(given: dict[str, Any]) -> Any:
    """What those options were given, taken out of `given`, as `desk.InFrame`."""
    from .. import desk

    return desk.InFrame(**{f.name: given.pop(f.name) for f in fields(desk.InFrame)})
