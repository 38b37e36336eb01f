"""swatchbath predict."""

from __future__ import annotations

import click

from .options import library_options, opened
from .screen import block, lab, learning, listed, say, say_json


@click.command()
@click.argument("cells", nargs=-1, required=True, metavar="COLUMN=VALUE...")
@library_options
def predict(cells: tuple[str, ...], library: str | None, as_json: bool) -> None:
    """Say what colour a bath is expected to give.

    \b
    Examples:
      swatchbath predict fibre=wool mordant=alum dyestuff=weld dye_owf=60 pH=7
      swatchbath predict fibre=silk dyestuff=madder modifier=iron --json

    A tannin, assistant or after-bath that is not named counts as none; all else that
    is not given counts as not known, and widens the answer. The columns are listed
    by swatchbath record --columns.
    """
    from .. import desk

    with opened(library) as lib, learning(as_json):
        seen = desk.predict(lib, cells)
    answer = seen.as_dict()
    if as_json:
        say_json("predict", answer)
        return
    listed("Take care:", answer["cautions"])
    say(f"{block(answer['screen'])}{answer['words']} ({lab(answer['lab'])})")
    say(f"Give or take {answer['give_or_take']:.0f} (CIEDE2000) for the next pot.", indent=2)
    for delivery in answer["deliveries"]:
        say(delivery["words"], indent=2)
    for reason in answer["reasons"]:
        say(f"Beyond what was dyed: {reason}.", indent=2)
    listed("Not given, so taken as in your swatches:", answer["assumed"])
    say(seen.learnt.trust)
