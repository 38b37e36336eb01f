"""swatchbath waiting."""

from __future__ import annotations

import click

from .options import library_folder, library_options
from .screen import say, say_json


@click.command()
@library_options
def waiting(library: str | None, as_json: bool) -> None:
    """List what each swatch still waits for.

    \b
    Examples:
      swatchbath waiting
      swatchbath waiting --json

    Bath and photo may come in either order: a swatch with a bath and no photo is to be
    photographed, one with only a photo is to be described. In an empty library it says
    what to do with the first three swatches.
    """
    from .. import desk

    payload = desk.waiting(library_folder(library))
    if as_json:
        say_json("waiting", payload)
        return
    for sentence in payload["first_steps"]:
        say(sentence)
    if payload["swatches"] and not payload["waiting"]:
        say("Every swatch has its bath and its colour.")
    for state, found in payload["waiting"].items():
        say(f"{state[0].upper()}{state[1:]} ({len(found)}):")
        for swatch in found:
            beside = [swatch["name"], swatch["knots"], *swatch["photos"], swatch["suggested"]]
            beside = [str(b) for b in beside if b]
            say(f"{swatch['code']}  {', '.join(beside)}".rstrip(), indent=2)
    if payload["next"]:
        say(payload["next"])
