"""swatchbath delivery."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, opened
from .screen import block, echo, lab, learning, listed, say, tell


@click.command()
@click.argument("dyestuff")
@click.argument("name")
@click.option("--checks", default=3, show_default=True, help="Check swatches in all, 1 to 5.")
@click.option("--grams", metavar="10 g", default="10 g", help="Fibre in one of them; 10 g.")
@click.option("--photo", metavar="PHOTO", help="A photo of check swatches, to be read first.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the grey card is in it.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option(
    "--at", metavar="CODE=X,Y[,HALF]", multiple=True, help="Where each of them is, by its code."
)
@in_frame_options
@library_options
def delivery(library: str | None, as_json: bool, **how: Any) -> None:
    """Check a new delivery of a dyestuff by a few swatches.

    \b
    Examples:
      swatchbath delivery weld W26
      swatchbath delivery weld W26 --checks 1 --grams 5
      swatchbath delivery weld W26 --photo checks.jpg --card 410,220 \\
        --at 3K7PX=900,480 --beside 22a=700,480
      swatchbath delivery madder M26 --json

    Before any swatch of it is on record it names baths that you dyed before, to be
    dyed again with it. Record those with NAME in dyestuff_lot and ask again: it tells
    how the delivery differs, and suggest, predict and plan are corrected for it.
    """
    from .. import desk

    how["in_frame"] = take_in_frame(how)
    with opened(library) as lib, learning(as_json):
        found = desk.delivery_typed(lib, **how)
    tell("delivery", found.as_dict(), as_json, show_delivery)


def show_delivery(payload: dict[str, Any]) -> None:
    """Print what is known of a delivery: cautions before the recipes they concern."""
    for sentence in payload["said"]:
        say(sentence)
    say(payload["words"])
    if payload["checks"]:
        say()
        _table(payload)
    spread = payload["spread"] if payload["state"] == "to check" else ""
    after = " ".join(s for s in (payload["gain"], payload["strength"], spread) if s)
    if after:
        say(after)
    if payload["recipes"]:
        say()
        listed("Take care:", payload["cautions"])
    for number, recipe in enumerate(payload["recipes"], start=1):
        say()
        old = recipe["repeats"]
        called = f"{old['code']} ({old['name']})" if old["name"] else old["code"]
        say(
            f"{number}. {block(old['screen'])}as swatch {called}: {old['words']} "
            f"({lab(old['lab'])})"
        )
        for line in recipe["bath"]:
            say(line, indent=2)
        if recipe["weigh"]:
            say(f"For {payload['grams_words']}: {', '.join(recipe['weigh'])}.", indent=2)
        say(f"Record it: {recipe['record']}", indent=2)
    say()
    listed("What next:", payload["next"])
    if payload["trust"]:
        say(payload["trust"])


def _table(payload: dict[str, Any]) -> None:
    """The check swatches: expected of the known delivery beside read, 80 columns at the most."""
    like = f"as {payload['like']}"[:18]
    echo(f"{'Check swatch':20}{like:24}{'read':24}{'CIEDE2000':>9}")
    for check in payload["checks"]:
        name = f"{check['code']} ({check['name']})" if check["name"] else check["code"]
        name = name if len(name) < 20 else f"{name[:17]}..."
        expected, read = lab(check["expected"]["lab"]), lab(check["read"]["lab"])
        echo(f"{name:20}{expected:24}{read:24}{check['delta_e2000']:9.1f}")
        say(f"{block(check['read']['screen'])}{check['words']}", indent=2)
