"""swatchbath pile."""

from __future__ import annotations

from typing import Any

import click

from .closeness import closeness_options
from .in_frame import in_frame_options, take_in_frame
from .options import library_options, ready_folder
from .screen import block, listed, progress, say, tell

# In a terminal; all stand in JSON and on the page.
_ROWS = 40


@click.command()
@click.argument("swatches", nargs=-1)
@click.option(
    "--where",
    metavar="COLUMN=VALUE",
    multiple=True,
    help="All swatches of which this holds, such as dyestuff=weld; once for each.",
)
@click.option("--photo", metavar="PHOTO", help="A photo of the pile.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the card is in it.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option(
    "--at", metavar="[NAME=]X,Y[,HALF]", multiple=True, help="Where a skein is; once for each."
)
@in_frame_options
@click.option("--row", is_flag=True, help="All in one row, each step as small as can be.")
@click.option("--best", type=int, metavar="K", help="The K that match best.")
@closeness_options
@click.option("--page", metavar="FILE", help="Write it as a page to look at.")
@library_options
def pile(
    library: str | None, as_json: bool, page: str | None, swatches: tuple[str, ...], **how: Any
) -> None:
    """Sort a pile: which skeins go together, and in what order.

    \b
    Examples:
      swatchbath pile 3K7PX 4M2TA 12a 12b
      swatchbath pile --where dyestuff=weld --where fibre=wool --for customer
      swatchbath pile --where dyestuff=madder --row --page pile.html
      swatchbath pile --photo pile.jpg --card 410,220 --at 900,480 --at 1300,480 \\
        --at 1700,480 --best 2

    Each is a swatch's code or name, or a lot, which stands for all its swatches. In a
    group no two are seen to differ; pairs that cannot be told are named. A pile in one
    photo is sorted most sharply, and needs no library; a grey card in it makes it surer,
    the photo sheet more. On that nothing needs to be pointed at.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    with progress(as_json) as bar:
        found = desk.pile_typed(ready_folder(library), swatches, progress=bar, **how)
    written = str(desk.write_pile(found, page)) if page else None
    tell("pile", found.as_dict() | {"page": written}, as_json, show_pile)


def show_pile(payload: dict[str, Any]) -> None:
    """Print a sorted pile."""
    shown = {s["called"]: block(s["screen"]) for s in payload["skeins"]}
    say(payload["words"])
    if payload["odd_words"]:
        say(payload["odd_words"])
    for number, group in enumerate(payload["groups"][:_ROWS], start=1):
        say()
        say(f"Group {number}: {', '.join(group['skeins'])}")
        if any(shown.values()):
            say("".join(shown[n].rstrip(" ") for n in group["skeins"]))
        say(group["words"], indent=2)
    if len(payload["groups"]) > _ROWS:
        say(f"And {len(payload['groups']) - _ROWS} more groups; --page shows them all.")
    if payload["best"]:
        say()
        say(f"The {len(payload['best'])} that match best: {', '.join(payload['best'])}")
        say(payload["best_words"], indent=2)
    if payload["row"]:
        say()
        listed("In a row, each step as small as can be:", payload["row"])
        say(payload["row_words"], indent=2)
    for sentence in (*payload["left_out"], *payload["said"]):
        say(sentence)
    if payload["page"]:
        say(f"The patches are in {payload['page']}.")
