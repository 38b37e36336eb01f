"""swatchbath edit."""

from __future__ import annotations

from typing import Any

import click

from ..errors import BadValue
from .options import library_options, opened
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("swatch", required=False)
@click.option(
    "--set",
    "cells",
    metavar="COLUMN=VALUE",
    multiple=True,
    help="What is right, such as pH=6; once for each. Nothing after = means not known.",
)
@click.option("--why", default="", metavar="WORDS", help="Why, in a word, if you like.")
@click.option("--alone", is_flag=True, help="For this swatch only, though it shared its pot.")
@click.option("--reading", type=int, metavar="N", help="A reading's number, the oldest is 1.")
@click.option("--state", help="How it was when it was read: dry, dry washed ...; with --reading.")
@click.option(
    "--camera-name", metavar="WORDS", help="The camera of photos whose files do not name it."
)
@click.option("--photo", "photos", multiple=True, help="Such a photo, by file name; once for each.")
@click.option("--unnamed", is_flag=True, help="All photos whose camera has no name yet.")
@library_options
def edit(library: str | None, as_json: bool, **how: Any) -> None:
    """Correct what is on record about a swatch, or whose camera photos are by.

    \b
    Examples:
      swatchbath edit 3K7PX --set pH=6 --why "misread the strip"
      swatchbath edit 12a --set mordant=alum --set mordant_owf=12
      swatchbath edit 12a --set name=12b --set vessel=
      swatchbath edit 12a --reading 2 --state wet
      swatchbath edit --photo IMG_1.jpg --photo IMG_2.jpg --camera-name "my phone"
      swatchbath edit --unnamed --camera-name "my phone"

    What was there before is kept and shown by swatchbath show; swatchbath undo takes
    it back. A fact of the dye pot is corrected for every swatch of the lot. A code
    never changes. Where photos came without a camera's name, as messengers send them,
    say whose they are: readings by one camera are then compared as such.
    """
    from .. import desk

    cameras = {n: how.pop(n) for n in ("camera_name", "photos", "unnamed")}
    if any(v not in (None, (), False) for v in cameras.values()):
        _name_camera(library, as_json, cameras, how)
        return
    if how["swatch"] is None:
        raise BadValue("Name a swatch, or photos with --photo and --camera-name.")
    with opened(library) as lib:
        done = desk.edit(lib, **how)
        due = desk.reminders(lib)
    if as_json:
        say_json("edit", done.as_dict())
        return
    listed("Take care:", done.cautions)
    name = f" ({done.edited.name})" if done.edited.name else ""
    say(f"Corrected: {done.edited.code}{name}")
    for sentence in done.sentences:
        say(sentence, indent=2)
    listed("Is this right?", done.edited.questions)
    listed("By the way:", due)


def _name_camera(
    library: str | None, as_json: bool, cameras: dict[str, Any], how: dict[str, Any]
) -> None:
    from .. import desk

    why = how.pop("why")
    if any(value not in (None, (), False) for value in how.values()):
        raise BadValue(
            "A swatch's facts and a camera's name are corrected one after the other; leave one of "
            "them out."
        )
    if cameras["camera_name"] is None:
        raise BadValue('Say what the camera is called: --camera-name "my phone".')
    with opened(library) as lib, progress(as_json) as bar:
        done = desk.name_camera(
            lib, cameras["camera_name"], cameras["photos"], unnamed=cameras["unnamed"], why=why,
            progress=bar,
        )  # fmt: skip
        due = desk.reminders(lib)
    if as_json:
        say_json("edit", done.as_dict())
        return
    for sentence in done.sentences:
        say(sentence)
    listed("By the way:", due)
