"""swatchbath record."""

from __future__ import annotations

from typing import Any

import click

from ..errors import BadValue
from .in_frame import in_frame_options, take_in_frame
from .options import library_options, ready_folder
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("photo", required=False, type=click.Path())
@click.option("--card", metavar="X,Y[,HALF]", help="Where the grey card is in the photo.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour, if it is known.")
@click.option("--swatch", metavar="X,Y[,HALF]", help="Where the swatch is in the photo.")
@click.option("--name", help="What you call the swatch; it gets a code all the same.")
@click.option("--code", help="A swatch on record that the photo shows: adds a reading to it.")
@click.option("--like", metavar="CODE", help="A swatch with the same bath but for --set; or last.")
@click.option(
    "--set",
    "cells",
    metavar="COLUMN=VALUE",
    multiple=True,
    help="One fact of the bath, such as fibre=wool; once for each.",
)
@click.option("--lab", metavar="L,A,B", help="An instrument's reading, instead of a photo.")
@click.option(
    "--under",
    metavar="LIGHT/OBSERVER",
    help="What that reading was made under: D65/10, D50/2 ...; else D65/2.",
)
@click.option(
    "--readings",
    metavar="FILE",
    help="An instrument's readings of swatches on record, CSV or CGATS.17 text: swatch and L, a, b "
    "or a spectrum (state, under).",
)
@click.option("--state", help="dry (unless said), dry washed, dry unwashed or wet.")
@click.option("--days", type=float, help="Days from dyeing to the photo.")
@click.option("--baths", metavar="CSV", help="A table of swatches instead, one row each.")
@click.option("--marks", metavar="CSV", help="Where they are in their photos.")
@click.option("--photos", metavar="FOLDER", help="Where the photos are; else beside --baths.")
@click.option("--cards", metavar="CSV", help="The cards' own colours: patch, L, a, b.")
@click.option("--columns", is_flag=True, help="List the columns a bath may have, and stop.")
@in_frame_options
@library_options
@click.pass_context
def record(
    ctx: click.Context, /, columns: bool, library: str | None, as_json: bool, **how: Any
) -> None:
    """Put swatches with their baths on record.

    \b
    Examples:
      swatchbath record pots.jpg --card 410,220,60 --swatch 900,480,80 \\
          --set fibre=wool --set dyestuff=weld --set dye_owf=80 --set pH=6
      swatchbath record --baths baths.csv --marks marks.csv --photos photos
      swatchbath record wet_and_dry.jpg --card 410,220,60 --swatch 900,480,80 \\
          --code 3K7PX
      swatchbath record --like last --set pH=5
      swatchbath record --code 3K7PX --lab 61.2,12.4,47.9 --under D65/10
      swatchbath record --columns

    Each swatch gets a code of five characters for its tag. An empty cell means not
    known; the word none means there was none. All is kept, or nothing. Where a photo
    does not say which camera took it, give it a name (--camera-name); it is
    remembered. Swatches on record that lie beside (--beside) make the reading sure
    among your own.
    """
    from .. import desk

    if columns:
        rows = desk.bath_columns()
        if as_json:
            say_json("record", {"columns": rows})
            return
        for row in rows:
            say(f"{row['name']} ({row['allowed']})")
            say(row["help"], indent=2)
        return
    readings, baths = how.pop("readings"), how.pop("baths")
    in_frame = take_in_frame(how)
    table = {name: how.pop(name) for name in ("marks", "photos", "cards")}
    # `how` is now what tells of one swatch.
    given = {n for n, value in (how if baths else table).items() if value not in (None, ())}
    for option in [p for p in ctx.command.params if p.name in given]:
        if baths:
            raise BadValue(
                f"{_typed(option)} tells of one swatch, and --baths names a table of them. Put it "
                "into the table, or leave one of the two out."
            )
        raise BadValue(
            f"{_typed(option)} goes with a table of swatches. Name the table with --baths."
        )
    alone = not (baths or in_frame.given or any(v not in (None, ()) for v in how.values()))
    if readings and not alone:
        raise BadValue("--readings stands alone: it adds to swatches that are on record.")
    folder = ready_folder(library)
    with progress(as_json) as bar:
        if readings:
            done = desk.record_readings(folder, readings)
        elif baths:
            done = desk.record_table(folder, baths, in_frame=in_frame, progress=bar, **table)
        else:
            done = desk.record_typed(folder, in_frame=in_frame, **how)
    if as_json:
        say_json("record", done.as_dict())
        return
    say(f"On record in {folder}:")
    for called, key in done.codes.items():
        say(f"{key}  {called if called != key else ''}".rstrip(), indent=2)
    count = f"{done.readings} reading{'' if done.readings == 1 else 's'}"
    say(
        f"{count} from {done.photos} photo{'' if done.photos == 1 else 's'}. Write each code "
        "on its tag."
    )
    listed("About the photos:" if done.photos > 1 else "About the photo:", done.notes)
    listed("Not read:", done.left_out)
    listed("Is this right?", done.questions)
    listed("Take care:", done.cautions)
    if done.general:
        say(f"For every bath: {' '.join(done.general)}")
    for told in done.came_out:
        say(told["words"])
        say(told["next"])


def _typed(option: click.Parameter) -> str:
    """An option as it is typed, an argument as help shows it."""
    return option.opts[0] if isinstance(option, click.Option) else option.human_readable_name
