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
@click.option("--lot", metavar="LOT", help="A dye lot, to keep a note or the like with it.")
@click.option(
    "--dyestuff-lot", metavar="LOT", help="A delivery, harvest or jar, to keep the like with it."
)
@click.option(
    "--where",
    metavar="COLUMN=VALUE",
    multiple=True,
    help="All swatches of which this holds; once for each. Shown first; --yes does it.",
)
@click.option("--yes", is_flag=True, help="Do what --where has shown.")
@library_options
def edit(library: str | None, as_json: bool, **how: Any) -> None:
    """Correct what is on record about a swatch, or whose camera photos are by.

    \b
    Examples:
      swatchbath edit 3K7PX --set pH=6 --why "misread the strip"
      swatchbath edit 12a --set mordant=alum --set mordant_owf=12
      swatchbath edit 12a --set name=12b --set vessel=
      swatchbath edit 12a --reading 2 --state wet
      swatchbath edit 12a --set note="fades in the window" --set shelf=3
      swatchbath edit --lot 12 --set note="the kettle boiled over"
      swatchbath edit --dyestuff-lot M25 --set season=autumn --set price="14 a kg"
      swatchbath edit --where dyestuff=madder --set dyestuff_lot=M25 --yes
      swatchbath edit --photo IMG_1.jpg --photo IMG_2.jpg --camera-name "my phone"
      swatchbath edit --unnamed --camera-name "my phone"

    What was there before is kept and shown by swatchbath show; swatchbath undo takes
    it back. A fact of the dye pot is corrected for every swatch of the lot. A code
    never changes. Where photos came without a camera's name, as messengers send them,
    say whose they are: readings by one camera are then compared as such. A note, place,
    price, season, provenance, fastness, and any column of your own are kept with a
    swatch, a lot or a delivery, and found by swatchbath find.
    """
    from .. import desk

    cameras = {n: how.pop(n) for n in ("camera_name", "photos", "unnamed")}
    if any(v not in (None, (), False) for v in cameras.values()):
        _name_camera(library, as_json, cameras, how)
        return
    lot, delivery = how.pop("lot"), how.pop("dyestuff_lot")
    where, yes = how.pop("where"), how.pop("yes")
    meant = [v for v in (how["swatch"], lot, delivery, where) if v not in (None, ())]
    if len(meant) > 1:
        raise BadValue(
            "A swatch, --lot, --dyestuff-lot and --where are corrected one after the other; leave "
            "all but one out."
        )
    if where:
        _many(library, as_json, where, yes, how)
        return
    if yes:
        raise BadValue("--yes does what --where has shown. Say which swatches with --where.")
    if lot is not None or delivery is not None:
        _beside(library, as_json, lot, delivery, how)
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


def _many(
    library: str | None, as_json: bool, where: tuple[str, ...], yes: bool, how: dict[str, Any]
) -> None:
    from .. import desk

    _nothing_of_one(how, "--where")
    with opened(library) as lib:
        done = desk.edit_many(
            lib, where, how["cells"], why=how["why"], alone=how["alone"], yes=yes
        )  # fmt: skip
        due = desk.reminders(lib)
    if as_json:
        say_json("edit", done.as_dict())
        return
    listed("Take care:", done.cautions)
    for i, sentence in enumerate(done.sentences):
        say(sentence, indent=2 if i else 0)
    listed("Is this right?", done.questions)
    if done.changed and not done.written:
        say("Nothing is changed yet. To do it, type the same again with --yes.")
    elif done.changed:
        say("swatchbath undo takes all of it back at once.")
    listed("By the way:", due)


def _beside(
    library: str | None, as_json: bool, lot: str | None, delivery: str | None, how: dict[str, Any]
) -> None:
    from .. import desk

    _nothing_of_one(how, "--lot" if lot is not None else "--dyestuff-lot")
    if how["alone"]:
        raise BadValue("--alone is of a swatch and its pot. Leave it out.")
    with opened(library) as lib:
        if lot is not None:
            done = desk.edit_lot(lib, lot, how["cells"], why=how["why"])
        else:
            done = desk.edit_dyestuff_lot(lib, delivery or "", how["cells"], why=how["why"])
        due = desk.reminders(lib)
    if as_json:
        say_json("edit", done.as_dict())
        return
    say(f"Kept with the {done.kind} {done.edited.name}:")
    for sentence in done.sentences:
        say(sentence, indent=2)
    listed("By the way:", due)


def _nothing_of_one(how: dict[str, Any], option: str) -> None:
    if how["reading"] is not None or how["state"] is not None:
        raise BadValue(f"--reading and --state are of one swatch. Leave them or {option} out.")


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
