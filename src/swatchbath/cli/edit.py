"""swatchbath edit."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import listed, say, say_json


@click.command()
@click.argument("swatch")
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
@library_options
def edit(library: str | None, as_json: bool, **how: Any) -> None:
    """Correct what is on record about a swatch.

    \b
    Examples:
      swatchbath edit 3K7PX --set pH=6 --why "misread the strip"
      swatchbath edit 12a --set mordant=alum --set mordant_owf=12
      swatchbath edit 12a --set name=12b --set vessel=
      swatchbath edit 12a --reading 2 --state wet

    What was there before is kept and shown by swatchbath show; swatchbath undo takes
    it back. A fact of the dye pot is corrected for every swatch of the lot. A code
    never changes.
    """
    from .. import desk

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
