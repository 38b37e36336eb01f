"""swatchbath compare."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, ready_folder
from .own_yarn import say_own_yarn
from .screen import block, say, tell


@click.command()
@click.argument("a", required=False)
@click.argument("b", required=False)
@click.option("--photo", metavar="PHOTO", help="A photo: in place of B, or of both.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the card is in it; or none.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option(
    "--at", metavar="X,Y[,HALF]", multiple=True, help="Where the colour is in it; twice for two."
)
@click.option(
    "--swapped", metavar="PHOTO", help="A second photo, each of the two where the other lay."
)
@click.option(
    "--lamp",
    metavar="PHOTO|LIGHTS",
    help="The same two, lying as they lie, by another lamp; or of two swatches with spectra on "
    "record, lights: A, F11, LED-B3 ...",
)
@in_frame_options
@click.option(
    "--for",
    "purpose",
    type=click.Choice(["garment", "customer", "family"]),
    help="How close it must be: 2 side by side in one garment, 4 the same shade to a customer, "
    "8 one family (CIEDE2000, equal weights; our own choice).",
)
@click.option("--tolerance", type=float, help="How close it must be, as a number.  [default: 2]")
@click.option(
    "--formula",
    type=click.Choice(["ciede2000", "textile", "cmc21"]),
    default="ciede2000",
    show_default=True,
    help="What tolerance and verdict are told in: textile halves lightness.",
)
@click.option("--level", default=0.9, show_default=True, help="How sure the interval is.")
@click.option("--eye", metavar="match|apart", help="How the two look to you; kept.")
@library_options
@click.pass_context
def compare(ctx: click.Context, /, library: str | None, as_json: bool, **how: Any) -> None:
    """Tell whether two colours match; exit 0 for a match, else 1.

    \b
    Examples:
      swatchbath compare 20a 21a
      swatchbath compare "lot 20" "lot 21" --for customer
      swatchbath compare 20a 21a --lamp A,F11,LED-B3
      swatchbath compare --photo both.jpg --at 300,400 --at 900,410
      swatchbath compare 07a 62,12,48 --tolerance 3 --json
      swatchbath compare 20a --photo new.jpg --card 410,220 --at 900,480 \\
        --beside 20a=700,480

    Each is a swatch's code or name, a lot, or L*,a*,b*; the second is the standard.
    With --photo only the standard is named, and what the photo shows is compared with
    it; or neither, and two places in it are compared: no card is needed, a card makes
    it surer, and plain paper more. Then swap the two, leave all else as it lies, and
    add that photo with --swapped: the light is out. Two swatches in one photo are
    compared most sharply, because like errors cancel.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    payload = desk.compare_in(ready_folder(library), **how).as_dict()
    tell("compare", payload, as_json, show_comparison)
    ctx.exit(0 if payload["verdict"] == "match" else 1)


MARKS = {"match": "●", "no match": "◖ ◗", "cannot tell": "○"}
_FORMULAE = {"textile": "CIEDE2000 with lightness halved", "cmc21": "CMC(2:1)"}


def show_comparison(payload: dict[str, Any]) -> None:
    """Print a comparison (also used by the demo)."""
    side_by_side = block(payload["a"]["screen"]).rstrip(" ") + block(payload["b"]["screen"])
    if side_by_side:
        say(side_by_side)
    for sentence in payload["first"]:
        say(sentence)
    say(f"{MARKS[payload['verdict']]} {payload['sentence']}")
    say(f"{payload['verdict']} within {payload['tolerance']:g}", indent=2)
    mostly = f", {payload['mostly']}" if payload["mostly"] else ""
    beside = f"{payload['a']['called']} beside {payload['b']['called']}"
    say(f"{beside}: {payload['words']}{mostly}.", indent=2)
    for sentence in (*payload["a"]["said"], *payload["b"]["said"], *payload["pair_said"]):
        say(sentence, indent=2)
    low, high = payload["interval"]
    if low == high:
        say("Both are typed values, taken as exact.", indent=2)
    by = _FORMULAE.get(payload["formula"], "CIEDE2000")
    say(
        f"{by} {payload['difference']:.1f}; the true one lies from {low:.1f} to {high:.1f} "
        f"({payload['level']:.0%} sure).",
        indent=2,
    )
    if by != "CIEDE2000":
        say(f"CIEDE2000 {payload['delta_e2000']:.1f}; the verdict is by {by}.", indent=2)
    steps = ", ".join(f"{name}* {value:+.1f}" for name, value in payload["lab_steps"].items())
    say(steps, indent=2)
    if payload["same_photo"]:
        say("Both were read from one photo.", indent=2)
    for sentence in (payload["likely"], payload["settle"]):
        if sentence:
            say(sentence, indent=2)
    if payload["lamp"]:
        say(
            f"{MARKS[payload['lamp']['verdict']]} By the second lamp: {payload['lamp']['sentence']}"
        )
    for light in payload["lamps"]:
        say(f"{MARKS[light['verdict']]} {light['sentence']}")
    if payload["meanwhile"]:
        say("Meanwhile (common practice):")
        for sentence in payload["meanwhile"]:
            say(sentence, indent=2)
    for sentence in (payload["eye"], payload["save"], payload["shapes"]):
        if sentence:
            say(sentence)
    if payload["verdict"] == "cannot tell":
        say_own_yarn(payload)
