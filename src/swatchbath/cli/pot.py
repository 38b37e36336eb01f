"""swatchbath pot."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .screen import listed, say, say_json


@click.command()
@click.option(
    "--step",
    "steps",
    metavar="LINE",
    multiple=True,
    help="A treatment as one line, as in a diary; once for each, in order.",
)
@click.option(
    "--fibre",
    "fibres",
    metavar="WORDS",
    multiple=True,
    help="What lay in the pot, with its weight.",
)
@click.option("--after", metavar="LINE", multiple=True, help="An after-bath of one part, or none.")
@click.option("--like", metavar="CODE", help="A swatch whose bath comes first; last: the newest.")
@click.option("--set", "changes", metavar="COLUMN=VALUE", multiple=True, help="But for this.")
@click.option("--codes", metavar="CODE,CODE", help="Codes given out before, in order.")
@click.option("--weight", metavar="100 g", help="Dry weight of all fibre in the pot; g or oz.")
@click.option("--lot", help="Your name for the dye lot; else it gets one.")
@click.option("--day", help="The dye day.")
@library_options
def pot(codes: str | None, library: str | None, as_json: bool, **how: Any) -> None:
    """Put a whole pot on record in one go: every swatch, part and after-bath.

    \b
    Examples:
      swatchbath pot --fibre wool --fibre silk --step "mordant: alum 12 %" \\
          --step "dye: weld 80 %, 80 C, 1 h, pH 6 strip" \\
          --after none --after "iron 2 %, 10 min"
      swatchbath pot --fibre "wool 60 g" --fibre "silk 20 g" \\
          --step "dye: weld 40 g, 80 C, 1 h"
      swatchbath pot --like last --set pH=5
      swatchbath pot --codes 3K7PX --step "vat: indigo, 3 dips of 10 min"

    Each fibre goes through each after-bath: a grid, with parts a, b, c. Codes that have
    a bath go on with it. A code given out for a suggestion (suggest --dye) needs no
    more where it was dyed as suggested; --set says what was otherwise. Amounts in grams
    are counted on all fibre in the pot: --weight, or else the sum where each fibre's
    own is told. Units stay as you type them: 190 F, 3.5 oz, 40 g, 20 % WOF.
    """
    from .. import desk

    folder = library_folder(library)
    listed_codes = (codes or "").replace(";", ",").replace(" ", ",").split(",")
    done = desk.pot(folder, codes=[c for c in listed_codes if c], **how)
    if as_json:
        say_json("pot", done.as_dict())
        return
    listed("Take care:", done.cautions)
    if done.general:
        say(f"For every bath: {' '.join(done.general)}")
    say(f"On record in {folder}" + (f", lot {done.lot}:" if done.lot else ":"))
    for piece in done.pieces:
        parts = [f"part {piece.part}" if piece.part else "", piece.fibre]
        parts += [f"after-bath {piece.after}" if piece.after else ""]
        say(f"{piece.code}  {', '.join(t for t in parts if t)}", indent=2)
    listed("Is this right?", done.questions)
