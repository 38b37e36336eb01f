"""swatchbath undo."""

from __future__ import annotations

import click

from .options import library_options, opened
from .screen import say, say_json


@click.command()
@library_options
def undo(library: str | None, as_json: bool) -> None:
    """Take back the last change.

    \b
    Examples:
      swatchbath undo
      swatchbath undo --json

    A correction is put back; what was recorded last goes to the bin. Again, it takes
    back the change before that, also on another day. Emptying the bin cannot be
    taken back.
    """
    from .. import desk

    with opened(library, as_it_is=True) as lib:
        done = desk.undo(lib)
    if as_json:
        say_json("undo", done.as_dict())
        return
    for sentence in done.sentences:
        say(sentence)
    changes = f"{done.more} change{'' if done.more == 1 else 's'}"
    say(f"{changes} before it can be taken back as well." if done.more else "It was the first.")
