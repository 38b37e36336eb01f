"""swatchbath piece."""

from __future__ import annotations

from typing import Any

import click

from .closeness import PURPOSES
from .options import library_options, opened
from .screen import block, say, tell


@click.command()
@click.argument("what", required=False)
@click.option("--as", "name", metavar="NAME", help="What you call the shade: autumn gold.")
@click.option("--within", type=float, metavar="NUMBER", help="How close it must be, CIEDE2000.")
@click.option(
    "--for",
    "purpose",
    type=click.Choice(PURPOSES),
    help="The same in a word: for one garment (2), a customer (4, as if not said), a family (8).",
)
@click.option("--lies", metavar="WORDS", help="Where its piece of yarn lies: tin 3.")
@click.option("--let-go", is_flag=True, help="Keep it no more.")
@library_options
def piece(library: str | None, as_json: bool, **how: Any) -> None:
    """Keep a piece of a shade, to judge later lots by.

    \b
    Examples:
      swatchbath piece 3K7PX --as "autumn gold" --within 4 --lies "tin 3"
      swatchbath piece 62,12,48 --as "the customer's brown" --for garment
      swatchbath piece --as "autumn gold" --lies "tin 5"
      swatchbath piece --as "autumn gold" --let-go
      swatchbath piece

    WHAT is a swatch's code or name, a lot, or L*,a*,b*. Alone it lists what is kept.
    A new lot is judged best with the piece itself beside it in one photo, so a length of
    the yarn is kept in the dark: swatchbath judge NAME CODE.
    """
    from .. import desk

    with opened(library) as lib:
        done = desk.piece(lib, **how)
    tell("piece", done.as_dict(), as_json, show_pieces)


def show_pieces(payload: dict[str, Any]) -> None:
    """Print what was done, or what is kept."""
    for sentence in payload["said"]:
        say(sentence)
    if payload["said"]:
        return
    if payload["empty"]:
        say(payload["empty"])
    for kept in payload["pieces"]:
        say(f"{block(kept['screen'])}{kept['called']}: {kept['words']}")
        of = f", read from {', '.join(kept['codes'])}" if kept["codes"] else ", as typed"
        say(f"Others must come within {kept['within']:g} (CIEDE2000){of}.", indent=2)
        if kept["lies"]:
            say(f"Its piece of yarn lies: {kept['lies']}.", indent=2)
        if kept["judged"]:
            many = "swatch was" if kept["judged"] == 1 else "swatches were"
            say(f"{kept['judged']} {many} judged by it.", indent=2)
