"""swatchbath codes."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .screen import echo, say, say_json


@click.command()
@click.argument("count", type=int)
@click.option("--out", metavar="FILE.pdf", help="Print tags: codes with their QR codes.")
@click.option("--paper", metavar="A4|Letter", default="A4", show_default=True, help="Its size.")
@click.option("--knots", is_flag=True, help="A number of knots for each thread as well.")
@click.option("--overwrite", is_flag=True, help="Replace a file that is there.")
@library_options
def codes(library: str | None, as_json: bool, **how: Any) -> None:
    """Give out codes for tags, before the fibre goes into a pot.

    \b
    Examples:
      swatchbath codes 3
      swatchbath codes 24 --out tags.pdf
      swatchbath codes 5 --knots

    Write each code in pencil on a tag that outlives a pot; or print tags, on spun-bonded
    or waterproof paper, or to be tied on after dyeing. With --knots a thread with so
    many knots will do. A code that was given out is never given to
    another swatch. Record the bath with pot --codes, or with record --code.
    """
    from .. import desk

    folder = library_folder(library)
    done = desk.codes(folder, **how)
    if as_json:
        say_json("codes", done)
        return
    say(f"Given out in {folder}:")
    for code in done["codes"]:
        number = done["knots"].get(code)
        tied = "" if number is None else f"  {desk.counted(number, 'knot')}"
        say(f"{code}{tied}", indent=2)
    if done["file"]:
        say(
            "Tags to print at actual size, on spun-bonded or waterproof paper, or to be tied on "
            "after dyeing; write in pencil, or tie knots:"
        )
        echo(f"  {done['file']}")
    say(done["next"])
