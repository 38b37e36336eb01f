"""swatchbath suggest."""

from __future__ import annotations

from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .more import more_options, say_first, say_later, take_more
from .options import library_options, opened
from .own_yarn import say_own_yarn
from .screen import block, lab, learning, listed, say, tell


@click.command()
@click.argument("shade", required=False)
@click.option(
    "--limit",
    "limits",
    metavar="COLUMN=...",
    multiple=True,
    help="What must hold: fibre=wool, pH=5..7, dyestuff=weld,madder; once for each.",
)
@click.option("--tolerance", default=2.0, show_default=True, help="CIEDE2000 that still passes.")
@click.option("--grams", metavar="1.2 kg", help="How much fibre is to be dyed; what to weigh.")
@click.option(
    "--step",
    "steps",
    multiple=True,
    metavar="COLUMN=STEP",
    help="What to round to, if not as usual: pH=0.5, temperature_C=10; once for each.",
)
@click.option("--photo", metavar="PHOTO", help="A photo with a grey card, in place of SHADE.")
@click.option("--card", metavar="X,Y[,HALF]", help="Where the card is in it; or none.")
@click.option("--card-lab", metavar="L,A,B", help="The card's own colour.")
@click.option("--at", metavar="X,Y[,HALF]", help="Where the wanted shade is in it.")
@in_frame_options
@click.option("-k", default=3, show_default=True, type=click.IntRange(1, 20), help="How many.")
@more_options
@library_options
def suggest(library: str | None, as_json: bool, **how: Any) -> None:
    """Suggest baths for a shade, from your own swatches.

    \b
    Examples:
      swatchbath suggest 62,12,48 --limit fibre=wool
      swatchbath suggest 07a --limit dyestuff=madder --tolerance 3
      swatchbath suggest 07a --limit fibre=wool --grams 500
      swatchbath suggest 22a --greyer --darker
      swatchbath suggest "#26303c" --onto 22a
      swatchbath suggest --photo leaf.jpg --card 410,220 --at 900,480
      swatchbath suggest --photo leaf.jpg --card 410,220 --at 900,480 \\
        --beside 22a=700,480 --beside 07=900,300
      swatchbath suggest --photo own-yarn.jpg
      swatchbath suggest "#c8a050" --json

    SHADE is L*,a*,b*, a swatch's code or name, or a screen colour (a wish: its doubt
    is large). Each bath comes with the colour foreseen, the chance that the next pot
    lies within the tolerance, and the real swatches nearest to it. Write -- before a
    shade that starts with a minus.
    """
    from .. import desk

    how["in_frame"], how["but"] = take_in_frame(how), take_more(how)
    with opened(library) as lib, learning(as_json):
        answer = desk.suggest_typed(lib, **how)
    tell("suggest", answer.as_dict(), as_json, show_suggestion)


def show_suggestion(payload: dict[str, Any]) -> None:
    """Print a suggestion (also used by the demo)."""
    target = payload["target"]
    say(f"{block(target['screen'])}For {target['called']}:")
    for sentence in target["said"]:
        say(sentence, indent=2)
    if target["note"]:
        say(target["note"], indent=2)
    for delivery in payload["deliveries"]:
        say(delivery["words"], indent=2)
    if payload["out_of_reach"]:
        say(payload["out_of_reach"], indent=2)
    shown_cautions: set[str] = set()
    say_first(payload, shown_cautions)
    beside: list[str] = []
    for number, idea in enumerate(payload["ideas"], start=1):
        say()
        new = [c for c in idea["cautions"] if c not in shown_cautions]
        shown_cautions.update(new)
        listed("Take care:", new)
        say(f"{number}. {block(idea['screen'])}{idea['words']} ({lab(idea['lab'])})")
        for line in idea["bath"]:
            say(line, indent=2)
        if idea["fades"]:
            say(idea["fades"], indent=2)
        if idea["far_off"]:
            say(idea["far_off"], indent=2)
        if idea["weigh"]:
            say(f"For {payload['grams_words']}: {', '.join(idea['weigh'])}.", indent=2)
        low, high = idea["interval"]
        say(
            f"This colour is {idea['delta_e2000']:.1f} from your shade (CIEDE2000). A pot comes "
            f"out {idea['expected']:.1f} from it on average, 9 in 10 pots {low:.0f} to {high:.0f}. "
            f"Chance to be within {payload['tolerance']:g}: {idea['chance']}.",
            indent=2,
        )
        near = [f"{p['code']} ({p['delta_e2000']:.1f})" for p in idea["precedents"]]
        if near and near != beside:
            say(f"Hold beside it, on this fibre: {', '.join(near)} from your shade.", indent=2)
        beside = near
        for reason in idea["reasons"]:
            say(f"Beyond what was dyed: {reason}.", indent=2)
    say_later(payload, shown_cautions)
    say()
    if payload["at_best"]:
        say(payload["at_best"])
    if payload["too_few"]:
        say(payload["too_few"])
    if payload["full_pot"]:
        say(payload["full_pot"])
    listed("Real swatches nearest to it:", [nearest_line(p) for p in payload["nearest"]])
    say_own_yarn(payload)
    if payload["trust"]:
        say(f"How far to trust it: {payload['trust']}")


def nearest_line(precedent: dict[str, Any]) -> str:
    """A real swatch in one line."""
    name = f" ({precedent['name']})" if precedent["name"] else ""
    return (
        f"{precedent['code']}{name}: {precedent['words']} (CIEDE2000 "
        f"{precedent['delta_e2000']:.1f}). {precedent['bath']}"
    )
