"""swatchbath suggest."""

from __future__ import annotations

from functools import partial
from typing import Any

import click

from .in_frame import in_frame_options, take_in_frame
from .more import cautions, first_lines, later_lines, more_options, take_more
from .options import library_options, opened
from .own_yarn import say_own_yarn
from .screen import block, echo, learning, listed, listing, paragraph, say, tell


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
@more_options
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
      swatchbath suggest 22a --greyer --darker
      swatchbath suggest "#26303c" --onto 22a
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

    asked["in_frame"], asked["but"] = take_in_frame(asked), take_more(asked)
    with opened(library) as lib, learning(as_json):
        answer = desk.suggest_typed(lib, **asked)
    tell("suggest", answer.as_dict(), as_json, partial(show_suggestion, how=how))


def show_suggestion(payload: dict[str, Any], *, how: bool = False) -> None:
    """Print a suggestion (also used by the demo). how : step by step, with all that speaks for
    each bath."""
    ideas, said = payload["ideas"], set[str]()
    leads = first_lines(payload, said)
    lines = _asked(payload) + leads
    short = len(ideas) == 1 and not how
    if payload["out_of_reach"]:
        # One bath alone is the nearest, and says itself how it falls short.
        said_first, _, rest = payload["out_of_reach"].partition(":")
        lines += paragraph(f"{said_first}." if short else f"{said_first}:{rest}", indent=2)
    if short:
        for line in _short(lines, ideas[0], payload, said):
            echo(line)
    else:
        for line in lines:
            echo(line)
        for number, idea in enumerate(ideas, start=1):
            say()
            _in_full(number, idea, payload["grams_words"], said, how)
        later = later_lines(payload, said)
        for line in ["", *later] if later else []:
            echo(line)
        say()
        for text in ("after_miss", "full_pot", "at_best", "too_few"):
            if payload[text]:
                say(payload[text])
        if how or not ideas:
            listed("Real swatches nearest to it:", [nearest_line(p) for p in payload["nearest"]])
            say_own_yarn(payload)
        elif payload["lay_beside_short"]:
            say(payload["lay_beside_short"])
        if payload["trust"]:
            say(payload["trust"])
    if payload["given_out"]:
        say(payload["given_out"]["words"])
        say(payload["given_out"]["next"])


def _asked(payload: dict[str, Any]) -> list[str]:
    """The shade, and how it was read."""
    target = payload["target"]
    lines = paragraph(f"{block(target['screen'])}For {target['called']}:")
    told = [*target["said"], target["note"], *(d["words"] for d in payload["deliveries"])]
    for sentence in told:
        lines += paragraph(sentence, indent=2) if sentence else []
    return lines


def _short(
    lines: list[str], idea: dict[str, Any], payload: dict[str, Any], said: set[str]
) -> list[str]:
    """One idea in as many lines as are seen at once: cautions and amounts always, the rest as far
    as there is room. said : the cautions that stand already."""
    lines = lines + _bath(idea, amounts=not idea["far_off"])
    amounts = _amounts(idea, payload["grams_words"])
    if payload["full_pot"]:
        amounts += paragraph(payload["full_pot"])
    # Of another colour no bath is told, so nothing in it can hurt.
    care = [] if idea["far_off"] else cautions(idea["care"], said)
    listed_care = listing("Take care:", care)
    if care and len(lines) + len(listed_care) + len(amounts) > _SCREEN - _LEAST_WHY:
        listed_care = paragraph(f"Take care: {' '.join(care)}")
    lines += listed_care + amounts
    left_out = False
    why = [
        payload["after_miss"],
        *_why(idea),
        *payload["vat"]["said"],
        payload["trust"],
        payload["at_best"],
        payload["lay_beside_short"],
    ]
    for text in why:
        more = paragraph(text) if text else []
        if len(lines) + len(more) < _SCREEN:
            lines += more
        else:
            left_out = True
    return lines + ["--how tells the rest."] * (left_out and len(lines) < _SCREEN)


# Lines of a screen that are seen at once, and those kept for why: a common terminal's height.
_SCREEN, _LEAST_WHY = 24, 5


def _bath(idea: dict[str, Any], number: int | None = None, amounts: bool = True) -> list[str]:
    """The colour and the chance of a bath, and the bath itself unless it gives another colour."""
    own = f"{idea['title'][0].upper()}{idea['title'][1:]}. " if idea["title"] else ""
    first = "" if number is None else f"{number}. "
    lines = paragraph(f"{first}{block(idea['screen'])}{own}{idea['expect']} {idea['odds']}")
    bath = " ".join(idea["bath_in_short"]) if amounts else ""
    for text in (bath, idea["far_off"], idea["fades"]):
        lines += paragraph(text, indent=2) if text else []
    return lines


def _amounts(idea: dict[str, Any], grams: str) -> list[str]:
    weigh = f"For {grams}: {', '.join(idea['weigh'])}." if idea["weigh"] else ""
    return [line for text in (weigh, idea["pots"]) if text for line in paragraph(text, indent=2)]


def _why(idea: dict[str, Any]) -> list[str]:
    near = [f"{p['code']} ({p['delta_e2000']:.1f})" for p in idea["precedents"]]
    beside = f"Hold beside it, on this fibre: {', '.join(near)} from your shade." if near else ""
    return [*(f"Beyond what was dyed: {r}." for r in idea["reasons"]), *([beside] if near else [])]


def _in_full(number: int, idea: dict[str, Any], grams: str, said: set[str], how: bool) -> None:
    """One bath of several: colour and chance; cautions, each once in an answer; amounts; why."""
    for line in _bath(idea, number, amounts=not idea["far_off"]):
        echo(line)
    if not idea["far_off"]:
        listed("Take care:", cautions(idea["care"], said))
    for line in _amounts(idea, grams):
        echo(line)
    if how:
        listed(
            "How it is done (yours: from your record; usual: common practice):",
            [f"{'Yours' if m['hers'] else 'Usual'}: {m['words']}" for m in idea["procedure"]],
        )
    why = [text for text in _why(idea) if text not in said]
    for text in why:
        say(text, indent=2)
    said.update(why)


def nearest_line(precedent: dict[str, Any]) -> str:
    """A real swatch in one line."""
    name = f" ({precedent['name']})" if precedent["name"] else ""
    return (
        f"{precedent['code']}{name}: {precedent['words']} (CIEDE2000 "
        f"{precedent['delta_e2000']:.1f}). {precedent['bath']}"
    )
