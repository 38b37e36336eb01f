"""swatchbath bin."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import say, say_json


@click.command()
@click.argument("swatch", required=False)
@click.option("--reading", type=int, metavar="N", help="One of its readings; the oldest is 1.")
@click.option("--take-out", is_flag=True, help="Take it out of the bin again.")
@click.option("--why", default="", metavar="WORDS", help="Why, in a word, if you like.")
@click.option("--empty", is_flag=True, help="Remove all that is in the bin; with --for-good.")
@click.option("--for-good", is_flag=True, help="Yes, it cannot be taken back.")
@library_options
def bin(library: str | None, as_json: bool, **how: Any) -> None:
    """Put swatches in the bin, take them out, or see what is in it.

    \b
    Examples:
      swatchbath bin
      swatchbath bin 3K7PX --why "felted"
      swatchbath bin 3K7PX --reading 2
      swatchbath bin 3K7PX --take-out
      swatchbath bin --empty --for-good

    What is in the bin is not found and not learned from, and can be taken out at any
    time. Only --empty --for-good removes it. Its code is never given to another
    swatch.
    """
    from .. import desk

    with opened(library, as_it_is=True) as lib:
        now = desk.bin(lib, **how)
    if as_json:
        say_json("bin", now.as_dict())
        return
    if now.emptied is not None:
        gone = now.emptied
        say(
            f"Gone for good: {desk.counted(len(gone.codes), 'swatch', 'swatches')}, "
            f"{desk.counted(gone.readings, 'reading')} and {desk.counted(gone.photos, 'photo')}."
        )
        return
    which = f"Reading {how['reading']} of swatch" if how["reading"] is not None else "Swatch"
    if now.put:
        say(f"{which} {now.put} is in the bin. To take it out: swatchbath undo")
    if now.took:
        say(f"{which} {now.took} is out of the bin.")
    say("In the bin:" if now.things else "The bin is empty.")
    for thing in now.things:
        name = f" ({thing.name})" if thing.name else ""
        say(f"{thing.code}{name}: {thing.what}, since {desk.when_words(thing.when)}", indent=2)
