"""swatchbath plan."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import block, lab, learning, listed, say, tell


@click.command()
@click.argument("shade", required=False)
@click.option("-k", type=click.IntRange(1, 40), help="Samples at the most.")
@click.option("--pots", default=2, show_default=True, type=click.IntRange(1, 12), help="Dye pots.")
@click.option(
    "--jars",
    default=4,
    show_default=True,
    type=click.IntRange(0, 24),
    help="Jars for after-baths.",
)
@click.option(
    "--sample", "sample_g", metavar="10 g", default="10 g", help="Fibre in one sample; 10 g."
)
@click.option(
    "--scale", "scale_g", metavar="1 g", default="1 g", help="What your scale tells apart; 1 g."
)
@click.option(
    "--limit",
    "limits",
    metavar="COLUMN=...",
    multiple=True,
    help="What must hold: fibre=wool, dyestuff=weld,madder; once for each.",
)
@click.option("--tolerance", default=2.0, show_default=True, help="CIEDE2000 that still passes.")
@library_options
def plan(shade: str | None, library: str | None, as_json: bool, **how: Any) -> None:
    """Plan a pot day: the samples to dye next.

    \b
    Examples:
      swatchbath plan 62,12,48 --limit fibre=wool
      swatchbath plan 22a --pots 1 --jars 3 --tolerance 3
      swatchbath plan --sample 5 --scale 0.1 --json

    With SHADE the samples are those most likely to bring you nearer to it: L*,a*,b*,
    a swatch's code or name, or a screen colour. Without it they are where your record
    is thinnest. Samples share mordanting and dye pot where they can, and part in
    after-baths first. Write -- before a shade that starts with a minus.
    """
    from .. import desk

    with opened(library) as lib, learning(as_json):
        answer = desk.plan(lib, shade, **how)
    tell("plan", answer.as_dict(), as_json, show_plan)


def show_plan(payload: dict[str, Any]) -> None:
    """Print a plan: cautions, then the day, then what goes into each pot."""
    target = payload["target"]
    if target is None:
        say("Where your record is thinnest:")
    else:
        say(f"{block(target['screen'])}To come nearer to {target['called']}:")
        if target["note"]:
            say(target["note"], indent=2)
    if payload["out_of_reach"]:
        say(payload["out_of_reach"], indent=2)
    for delivery in payload["deliveries"]:
        say(delivery["words"], indent=2)
    say()
    say(payload["summary"])
    say(payload["when"])
    if payload["heavier"]:
        say(payload["heavier"])
    if payload["spare"]:
        say(payload["spare"])
    say()
    care = payload["care"]
    listed("Take care:", [c for c in (*care["full"], care["brief"], care["general"]) if c])
    if payload["to_pH"]:
        say(payload["to_pH"])
    letter = iter("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
    for pot in payload["day"]["pots"]:
        say()
        number, shared = pot["number"], pot["mordanted_with_pot"]
        litres = f" in {pot['water']} of water" if pot["water"] else ""
        say(f"Pot {number}: {pot['fibre']} of fibre{litres}")
        for line in pot["bath"]:
            say(line, indent=2)
        if shared is not None:
            say(f"Its fibre is mordanted together with that of pot {shared}.", indent=2)
        for amount in pot["mordant"]:
            say(f"{amount['what']} for {pot['mordant_fibre']}: {amount['how']}", indent=2)
        for amount in pot["dye"]:
            say(f"{amount['what']}: {amount['how']}", indent=2)
        for sample in pot["samples"]:
            say(f"Sample {next(letter)}: {' '.join(sample['after_bath']) or 'no after-bath.'}")
            for amount in sample["jar"]:
                say(f"{amount['what']}: {amount['how']}", indent=4)
            words = f"{sample['words']} ({lab(sample['lab'])})"
            say(f"{block(sample['screen'])}expected {words}", indent=4)
            chance = f" {sample['odds']}" if target else ""
            say(sample["why"] + chance, indent=4)
            for reason in sample["reasons"]:
                say(f"Beyond what was dyed: {reason}.", indent=4)
    say()
    say(payload["trust"])
