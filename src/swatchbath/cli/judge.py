"""swatchbath judge."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import block, say, tell

MARKS = {"match": "●", "no match": "◖ ◗", "cannot tell": "○"}


@click.command()
@click.argument("name")
@click.argument("what")
@click.option("--page", metavar="FILE", help="Write it as a page, the lots hung on a line.")
@library_options
@click.pass_context
def judge(
    ctx: click.Context, name: str, what: str, page: str | None, library: str | None, as_json: bool
) -> None:
    """Judge a new lot by a kept piece, and tell whether the shade drifts.

    \b
    Examples:
      swatchbath judge "autumn gold" 4M2TA
      swatchbath judge "autumn gold" 2026-11-28-1 --page gold.html

    NAME is what the shade is kept as (swatchbath piece), WHAT a swatch's code or name,
    or a lot. Best in one photo with the piece itself: it says where that lies. The lot
    is put into the history of the shade; swatchbath undo takes it out again. Ends with
    0 for a match, else 1.
    """
    from .. import desk

    with opened(library) as lib:
        found = desk.judge(lib, name, what)
        written = str(desk.write_judged(lib, found, page)) if page else None
    payload = found.as_dict() | {"page": written}
    tell("judge", payload, as_json, show_judged)
    ctx.exit(0 if payload["verdict"] == "match" else 1)


def show_judged(payload: dict[str, Any]) -> None:
    """Print how a lot was judged."""
    if payload["first"]:
        say(payload["first"])
        say()
    side_by_side = block(payload["kept"]["screen"]).rstrip(" ") + block(payload["lot"]["screen"])
    if side_by_side:
        say(side_by_side)
    say(f"{MARKS[payload['verdict']]} {payload['verdict_words']}")
    low, high = payload["interval"]
    say(
        f"{payload['lot']['called']} beside {payload['kept']['called']}: {payload['words']} "
        f"(CIEDE2000 {payload['delta_e2000']:.1f}; the true one from {low:.1f} to {high:.1f}).",
        indent=2,
    )
    if payload["same_photo"]:
        say("Both were read from one photo.", indent=2)
    if payload["tight"]:
        say(payload["tight"], indent=2)
    say()
    say(payload["history"]["words"])
    for sentence in payload["history"]["leads"]:
        say(sentence, indent=2)
    say(payload["spread_words"], indent=2)
    if payload["page"]:
        say(f"The lots on their line are in {payload['page']}.")
