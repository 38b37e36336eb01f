"""swatchbath find."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, opened
from .own_yarn import say_own_yarn
from .screen import block, lab, listed, say, say_json


@click.command()
@click.argument("text", required=False)
@click.option(
    "--colour", "lab", metavar="SHADE", help="L*,a*,b*, a swatch's code or name, or #rrggbb."
)
@click.option("--photo", metavar="PHOTO", help="A photo with a grey card, in place of --colour.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the card is in it; or none.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option("--at", metavar="X,Y[,HALF]", help="Where the colour is in it.")
@in_frame_options
@click.option("-k", default=10, show_default=True, type=click.IntRange(1, 500), help="How many.")
@click.option("--csv", "table", metavar="FILE", help="Write what is found as a table, too.")
@library_options
def find(table: str | None, library: str | None, as_json: bool, **how: Any) -> None:
    """Find swatches by colour or by words.

    \b
    Examples:
      swatchbath find "weld iron"
      swatchbath find --colour 62,12,48
      swatchbath find silk --colour 07a -k 3
      swatchbath find --photo leaf.jpg --card 410,220 --at 900,480
      swatchbath find weld -k 500 --csv weld.csv

    All the words must stand in what is on record, notes and columns of your own too,
    also those of the lot and of the dyestuff's delivery. With a colour, the nearest come
    first; else the newest.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    with opened(library) as lib:
        found = desk.find_typed(lib, **how)
        if table:
            desk.write_found(found, table)
        count, due = len(lib), desk.reminders(lib)
    if as_json:
        say_json("find", found.as_dict())
        return
    if found.target is not None:
        for sentence in found.target.said:
            say(sentence)
    if not found:
        say(
            f"None of the {count} swatches fits."
            if count > 1
            else "The one swatch on record does not fit."
            if count
            else "The library is empty. swatchbath waiting tells how to start."
        )
    for row in found.as_dict()["swatches"]:
        name = f" ({row['name']})" if row["name"] else ""
        shown = block(row["screen"]) if row["screen"] else ""
        say(f"{shown}{row['code']}{name}: {row['words']}")
        if row["delta_e2000"] is not None:
            say(f"{lab(row['lab'])}, CIEDE2000 {row['delta_e2000']:.1f}", indent=2)
        say(row["bath"], indent=2)
        if row["conditions"].get("note"):
            say(f"note: {row['conditions']['note']}", indent=2)
    say_own_yarn(found.own_yarn.as_dict())
    listed("By the way:", due)
