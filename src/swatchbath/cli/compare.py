"""swatchbath compare."""

from __future__ import annotations

from typing import Any

import click

from .options import json_option, library_folder, library_option
from .screen import block, say, say_json


@click.command()
@click.argument("a")
@click.argument("b")
@click.option("--tolerance", default=2.0, show_default=True, help="CIEDE2000 that still passes.")
@click.option("--level", default=0.9, show_default=True, help="How sure the interval is.")
@library_option
@json_option
@click.pass_context
def compare(
    ctx: click.Context,
    a: str,
    b: str,
    tolerance: float,
    level: float,
    library: str | None,
    as_json: bool,
) -> None:
    """Tell whether two colours match; exit 0 for a match, else 1.

    \b
    Examples:
      swatchbath compare 20a 21a
      swatchbath compare 07a 62,12,48 --tolerance 3 --json

    Each is a swatch's code or name, or L*,a*,b*; the second is the standard. Two
    swatches in one photo are compared most sharply, because like errors cancel.
    """
    from .. import desk

    folder = library_folder(library)
    answer = desk.compare_in(folder, a, b, tolerance=tolerance, level=level)
    told = answer.as_dict()
    if as_json:
        say_json("compare", told)
    else:
        show_comparison(told)
    ctx.exit(0 if told["verdict"] == "match" else 1)


MARKS = {"match": "●", "no match": "◖ ◗", "cannot tell": "○"}


def show_comparison(told: dict[str, Any]) -> None:
    """Print a comparison (also used by the demo)."""
    side_by_side = block(told["a"]["screen"]).rstrip(" ") + block(told["b"]["screen"])
    if side_by_side:
        say(side_by_side)
    say(f"{MARKS[told['verdict']]} {told['verdict']} within {told['tolerance']:g}")
    say(f"{told['a']['called']} beside {told['b']['called']}: {told['words']}.", indent=2)
    low, high = told["interval"]
    if low == high:
        say("Both are typed values, taken as exact.", indent=2)
    say(
        f"CIEDE2000 {told['delta_e2000']:.1f}; the true one lies from {low:.1f} to {high:.1f} "
        f"({told['level']:.0%} sure).",
        indent=2,
    )
    if told["same_photo"]:
        say("Both were read from one photo.", indent=2)
    if told["would_settle"]:
        say(told["would_settle"], indent=2)
