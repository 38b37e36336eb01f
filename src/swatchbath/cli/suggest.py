"""swatchbath suggest."""

from __future__ import annotations

from functools import partial
from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .options import library_options, opened
from .own_yarn import say_own_yarn
from .screen import block, learning, listed, say, tell


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
@click.option("--pot", metavar="12 litres", help="What your pot holds.")
@click.option("--how", is_flag=True, help="Step by step, and all that speaks for it.")
@click.option("--dye", metavar="NUMBER", type=int, help="Give out a code for this idea.")
@click.option("-k", default=3, show_default=True, type=click.IntRange(1, 20), help="How many.")
@library_options
def suggest(library: str | None, as_json: bool, how: bool, **asked: Any) -> None:
    """Suggest baths for a shade, from your own swatches.

    \b
    Examples:
      swatchbath suggest 62,12,48 --limit fibre=wool
      swatchbath suggest 07a --limit dyestuff=madder --tolerance 3
      swatchbath suggest 07a --limit fibre=wool --grams "1.2 kg" --pot "20 litres"
      swatchbath suggest 07a -k 1 --how
      swatchbath suggest 07a --dye 1
      swatchbath suggest --photo leaf.jpg --card 410,220 --at 900,480
      swatchbath suggest --photo leaf.jpg --card 410,220 --at 900,480 \\
        --beside 22a=700,480 --beside 07=900,300
      swatchbath suggest --photo own-yarn.jpg
      swatchbath suggest "#c8a050" --json

    SHADE is L*,a*,b*, a swatch's code or name, or a screen colour (a wish: its doubt
    is large). Each bath comes with the colour to expect, the chance that the next pot
    is close enough, and the real swatches nearest to it. --how tells each step: what is
    yours, and what is common practice. --dye gives out a code that keeps what was
    asked and expected, so that its photo can tell how it came out. Write -- before a
    shade that starts with a minus.
    """
    from .. import desk

    asked["in_frame"] = take_in_frame(asked)
    with opened(library) as lib, learning(as_json):
        answer = desk.suggest_typed(lib, **asked)
    tell("suggest", answer.as_dict(), as_json, partial(show_suggestion, how=how))


def show_suggestion(payload: dict[str, Any], *, how: bool = False) -> None:
    """Print a suggestion (also used by the demo). how : step by step, with all that speaks for
    each bath."""
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
    said: set[str] = set()
    for number, idea in enumerate(payload["ideas"], start=1):
        if len(payload["ideas"]) > 1:
            say()
        _idea(number, idea, payload["grams_words"], said, how)
    if len(payload["ideas"]) != 1:
        say()
    if payload["full_pot"]:
        say(payload["full_pot"])
    if payload["at_best"]:
        say(payload["at_best"])
    if payload["too_few"]:
        say(payload["too_few"])
    if how or not payload["ideas"]:
        listed("Real swatches nearest to it:", [nearest_line(p) for p in payload["nearest"]])
        say_own_yarn(payload)
    elif payload["lay_beside_short"]:
        say(payload["lay_beside_short"])
    if payload["trust"]:
        say(payload["trust"])
    if payload["given_out"]:
        say(payload["given_out"]["words"])
        say(payload["given_out"]["next"])


def _idea(number: int, idea: dict[str, Any], grams: str, said: set[str], how: bool) -> None:
    """One bath: colour and chance; cautions, each once in an answer; what to weigh; why."""
    own = f"{idea['title'][0].upper()}{idea['title'][1:]}. " if idea["title"] else ""
    say(f"{number}. {block(idea['screen'])}{own}{idea['expect']} {idea['odds']}")
    say(" ".join(idea["bath"]), indent=3)
    if idea["far_off"]:
        say(idea["far_off"], indent=3)
    care = idea["care"]
    new = [c for c in (*care["full"], care["brief"], care["general"]) if c and c not in said]
    said.update(new)
    listed("Take care:", new)
    if idea["weigh"]:
        say(f"For {grams}: {', '.join(idea['weigh'])}.", indent=3)
    if idea["pots"]:
        say(idea["pots"], indent=3)
    if how:
        listed(
            "How it is done (yours: from your record; usual: common practice):",
            [f"{'Yours' if m['hers'] else 'Usual'}: {m['words']}" for m in idea["procedure"]],
        )
    near = [f"{p['code']} ({p['delta_e2000']:.1f})" for p in idea["precedents"]]
    if near:
        beside = f"Hold beside it, on this fibre: {', '.join(near)} from your shade."
        if beside not in said:
            say(beside, indent=3)
        said.add(beside)
    for reason in idea["reasons"]:
        say(f"Beyond what was dyed: {reason}.", indent=3)


def nearest_line(precedent: dict[str, Any]) -> str:
    """A real swatch in one line."""
    name = f" ({precedent['name']})" if precedent["name"] else ""
    return (
        f"{precedent['code']}{name}: {precedent['words']} (CIEDE2000 "
        f"{precedent['delta_e2000']:.1f}). {precedent['bath']}"
    )
