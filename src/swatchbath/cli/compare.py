"""swatchbath compare."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, ready_folder
from .own_yarn import say_own_yarn
from .screen import block, say, tell


@click.command()
@click.argument("a")
@click.argument("b", required=False)
@click.option("--photo", metavar="PHOTO", help="A photo with a grey card, in place of B.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the card is in it; or none.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option("--at", metavar="X,Y[,HALF]", help="Where the colour is in it.")
@in_frame_options
@click.option("--tolerance", default=2.0, show_default=True, help="CIEDE2000 that still passes.")
@click.option("--level", default=0.9, show_default=True, help="How sure the interval is.")
@library_options
@click.pass_context
def compare(ctx: click.Context, /, library: str | None, as_json: bool, **how: Any) -> None:
    """Tell whether two colours match; exit 0 for a match, else 1.

    \b
    Examples:
      swatchbath compare 20a 21a
      swatchbath compare 07a 62,12,48 --tolerance 3 --json
      swatchbath compare 20a --photo new.jpg --card 410,220 --at 900,480 \\
        --beside 20a=700,480

    Each is a swatch's code or name, or L*,a*,b*; the second is the standard. With
    --photo only the standard is named, and what the photo shows is compared with it.
    Two swatches in one photo are compared most sharply, because like errors cancel.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    payload = desk.compare_in(ready_folder(library), **how).as_dict()
    tell("compare", payload, as_json, show_comparison)
    ctx.exit(0 if payload["verdict"] == "match" else 1)


MARKS = {"match": "●", "no match": "◖ ◗", "cannot tell": "○"}


def show_comparison(payload: dict[str, Any]) -> None:
    """Print a comparison (also used by the demo)."""
    side_by_side = block(payload["a"]["screen"]).rstrip(" ") + block(payload["b"]["screen"])
    if side_by_side:
        say(side_by_side)
    say(f"{MARKS[payload['verdict']]} {payload['verdict']} within {payload['tolerance']:g}")
    say(f"{payload['a']['called']} beside {payload['b']['called']}: {payload['words']}.", indent=2)
    for sentence in (*payload["a"]["said"], *payload["b"]["said"]):
        say(sentence, indent=2)
    low, high = payload["interval"]
    if low == high:
        say("Both are typed values, taken as exact.", indent=2)
    say(
        f"CIEDE2000 {payload['delta_e2000']:.1f}; the true one lies from {low:.1f} to {high:.1f} "
        f"({payload['level']:.0%} sure).",
        indent=2,
    )
    if payload["same_photo"]:
        say("Both were read from one photo.", indent=2)
    if payload["would_settle"]:
        say(payload["would_settle"], indent=2)
    if payload["verdict"] == "cannot tell":
        say_own_yarn(payload)
