"""swatchbath show."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import block, lab, listed, reading_line, say, say_json


@click.command()
@click.argument("swatch")
@click.option("--grams", metavar="1.2 kg", help="Its own bath weighed for so much fibre.")
@click.option("--left", metavar="MATERIAL WEIGHT", multiple=True, help="How far what is left goes.")
@library_options
def show(swatch: str, library: str | None, as_json: bool, **how: Any) -> None:
    """Show all that is on record about a swatch.

    \b
    Examples:
      swatchbath show 07a
      swatchbath show 3K7PX --json
      swatchbath show 07a --grams "1.2 kg"
      swatchbath show 07a --left "weld 300 g"

    SWATCH is its code or the name you gave it. Cautions come first while it is in the
    pot or on the line, and after its facts once it is dry. --grams weighs its own bath
    for another weight of fibre; --left tells how much fibre so much of a material
    dyes, as this was.
    """
    from .. import desk

    with opened(library) as lib:
        payload = desk.show(lib, swatch, **how)
    history = payload.pop("history")
    if as_json:
        # Answers in JSON hold no time stamps: what happened, in order.
        say_json("show", payload | {"history": [{"what": e["what"]} for e in history]})
        return
    dry = any(reading["state"] != "wet" for reading in payload["measurements"])
    if not dry or payload["recipe"] is not None:
        listed("Take care:", payload["cautions"])
    for goes in payload["left"]:
        say(goes["words"])
    if payload["recipe"] is not None:
        _recipe(payload["code"], payload["recipe"])
        return
    if payload["left"]:
        return
    name = f" ({payload['name']})" if payload["name"] else ""
    where = [f"lot {payload['lot']}"] if payload["lot"] else []
    where += [f"part {payload['part']}"] if payload["part"] else []
    where += [f"dye day {desk.day_words(payload['session'])}"] if payload["session"] else []
    say(", ".join([f"{payload['code']}{name}", *where]))
    known = bool(payload["steps"] or "fibre" in payload["conditions"])
    for line in [*(payload["bath"] if known else ()), *desk.note_lines(payload["conditions"])]:
        say(line, indent=2)
    for pot, codes in payload["liquor_of"].items():
        out = f"({', '.join(codes)} came out of it)" if codes else "(which is not on record)"
        say(f"Dyed in the liquor of pot {pot} {out}.", indent=2)
    if payload["liquor_went_to"]:
        say(f"Its liquor was used again for {', '.join(payload['liquor_went_to'])}.", indent=2)
    for kept in payload["kept_piece_of"]:
        lies = f"; its piece of yarn lies: {kept['lies']}" if kept["lies"] else ""
        say(f"It is the kept piece of {kept['called']}{lies}.", indent=2)
    for name, value in payload["kept_with_lot"].items():
        say(f"Of the whole lot {payload['lot']}, {name}: {value}", indent=2)
    for lot, kept in payload["kept_with_dyestuff_lots"].items():
        for name, value in kept.items():
            say(f"Of {lot}, {name}: {value}", indent=2)
    if payload["as_told"]:
        say("As you typed it:", indent=2)
    for line in payload["as_told"]:
        say(line, indent=4)
    if typed := desk.typed_words(payload["typed"]):
        say(typed, indent=2)
    for shown in payload["photos"]:
        say(f"Photo of the {shown['shows']}: {shown['photo']}", indent=2)
    for wait in payload["waits"]:
        say(f"{wait[0].upper()}{wait[1:]}.", indent=2)
    for reading in payload["measurements"]:
        photo = f" in {reading['photo']}" if reading["photo"] else ""
        age = "" if reading["days"] is None else f", {reading['days']:g} days after dyeing"
        words = f"{reading['number']}. {reading['words']}, {reading['state']}{photo}{age}"
        say(f"{block(reading['screen'])}{words}", indent=2)
        say(reading_line(reading), indent=4)
        for check in reading["checks"]:
            say(check["sentence"], indent=4)
    if expected := payload["expected"]:
        colour = f"{expected['words']} ({lab(expected['lab'])})"
        doubt = f"give or take {expected['give_or_take']:.0f}"
        say(f"{block(expected['screen'])}Expected by your other lots: {colour}, {doubt}.", indent=2)
        say(expected["came_out"], indent=2)
    if payload["suggested"]:
        say(f"Given out {payload['suggested']['words']}.", indent=2)
        if not payload["came_out"]:
            for line in payload["suggested"]["bath"]:
                say(line, indent=4)
    if payload["came_out"]:
        say(payload["came_out"]["words"], indent=2)
        say(payload["came_out"]["next"], indent=2)
    if dry:
        listed("Take care when it is dyed again:", payload["cautions"])
    say("What happened:")
    for event in history:
        say(f"{desk.when_words(event['when'])}  {event['what']}", indent=2)


def _recipe(code: str, recipe: dict[str, Any]) -> None:
    """Print a bath weighed for another weight, treatment by treatment."""
    say(f"The bath of {code} for {recipe['grams_words']} of {recipe['fibre']}:")
    for number, treatment in enumerate(recipe["treatments"], start=1):
        say(f"{number}. {treatment['bath']}", indent=2)
        for line in treatment["weigh"]:
            say(line, indent=5)
    if recipe["full_pot"]:
        say(recipe["full_pot"])
