"""swatchbath sheet."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .own_yarn import piece_words
from .screen import echo, say, say_json


@click.command()
@click.option(
    "--out",
    metavar="FILE.pdf",
    default="photo-sheet.pdf",
    show_default=True,
    help="The file to write.",
)
@click.option("--paper", metavar="A4|Letter", default="A4", show_default=True, help="Its size.")
@click.option(
    "--places",
    metavar="1|4|8",
    type=int,
    show_default="4",
    help="How many swatches it takes: a skein, small skeins, windings.",
)
@click.option(
    "--codes",
    metavar="CODE,CODE",
    help="Swatch codes in the order of the places; the rest have a line to write on.",
)
@click.option(
    "--next-codes",
    "fresh",
    is_flag=True,
    help="The codes that the next swatches in your library will get.",
)
@click.option(
    "--own",
    is_flag=True,
    help="Six places for snippets of your own swatches, three for what is read beside them.",
)
@click.option("--overwrite", is_flag=True, help="Replace a file that is there.")
@library_options
def sheet(fresh: bool, own: bool, library: str | None, as_json: bool, **how: Any) -> None:
    """Print a photo sheet, on which swatches need no marking.

    \b
    Examples:
      swatchbath sheet
      swatchbath sheet --places 8 --paper Letter --out eight.pdf
      swatchbath sheet --codes NJCE3,E6KPC --out two.pdf
      swatchbath sheet --places 8 --next-codes --out next.pdf
      swatchbath sheet --own --out own-yarn.pdf

    Print it at actual size, lay your grey card and the swatches on their places, and
    photograph it from straight above: swatchbath measure PHOTO then finds and names
    them. The print itself is no grey card; a home print is not a neutral reference.
    With --own it carries six of your recorded swatches: what lies on the open places
    is then read in your library's own colours, much more surely than by the card.
    """
    from .. import desk

    if own and fresh:
        raise click.UsageError("--own and --next-codes are two sheets; leave one of them out.")
    folder = library_folder(library) if fresh or own else None
    done = desk.sheet_typed(library=folder, own=own, **how)
    if as_json:
        say_json("sheet", done)
        return
    if own:
        _say_own(done)
        return
    count = "1 place" if done["places"] == 1 else f"{done['places']} places"
    say(f"Photo sheet on {done['paper']} with {count}, in black only:")
    echo(f"  {done['file']}")
    for number, code in enumerate(done["codes"], start=1):
        say(f"place {number}: {code}", indent=2)
    if fresh:
        say(
            "Your library gives these codes to the next swatches you record, in this order. They "
            "are not kept free: record them in the order of the places."
        )
    say("Every code was read back. Print at actual size; the line at the foot is then 100 mm.")


def _say_own(done: dict[str, Any]) -> None:
    """What lies where on the sheet with her own yarn, and how to use it."""
    say(f"Photo sheet on {done['paper']} for your own yarn, in black only:")
    echo(f"  {done['file']}")
    for number, piece in enumerate(done["own"], start=1):
        say(f"place {number}: {piece_words(piece)}", indent=2)
    say(done["own_words"])
    *most, last = map(str, done["open_places"])
    say(
        "Staple a dry snippet of each on its place. Then lay what is to be read on places "
        f"{', '.join(most)} or {last} and your grey card in the middle: one photo, and nothing "
        "needs marking."
    )
    say("Every code was read back. Print at actual size; the line at the foot is then 100 mm.")
