"""swatchbath spread."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import listed, say, tell


@click.command()
@library_options
def spread(library: str | None, as_json: bool) -> None:
    """Tell how much spread is normal for you.

    \b
    Examples:
      swatchbath spread
      swatchbath spread --json

    From what you repeated: how far two photos of one swatch, two swatches of one lot,
    two lots of one recipe and two deliveries of a dyestuff usually lie apart. What
    cannot be told apart is said, with what to photograph or dye again.
    """
    from .. import desk

    with opened(library) as lib:
        found = desk.spread(lib)
    tell("spread", found.as_dict(), as_json, show_spread)


def show_spread(payload: dict[str, Any]) -> None:
    """Print how much spread is normal."""
    for sentence in payload["words"]:
        say(sentence)
    listed("How far apart:", [s["words"] for s in payload["sources"]])
