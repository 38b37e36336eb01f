"""swatchbath selftest."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .screen import listed, say, tell


@click.command()
@library_options
@click.pass_context
def selftest(ctx: click.Context, library: str | None, as_json: bool) -> None:
    """Try what works on this machine, and tell how to get what is missing.

    \b
    Examples:
      swatchbath selftest
      swatchbath selftest --library my-swatches --json

    Tries the parts it is built on, photos of each kind, the folder, the disk and the
    database, and measures a photo that comes with it to its known colour. Nothing is
    changed. Ends with exit code 1 where it cannot do without what fails, else 0.
    """
    from .. import desk

    payload = desk.selftest(library_folder(library)).as_dict()
    tell("selftest", payload, as_json, _show)
    ctx.exit(0 if payload["ok"] else 1)


def _show(payload: dict[str, Any]) -> None:
    versions = payload["versions"]
    say(
        f"swatchbath {versions['swatchbath']}, Python {versions['python']}, SQLite "
        f"{versions['sqlite']}, {versions['system']}"
    )
    titles = {"fails": "Fails:", "missing": "Missing:", "works": "Works:"}
    for level, title in titles.items():
        found = [t for t in payload["tried"] if t["level"] == level]
        listed(title, [f"{t['sentence']} {t['remedy']}".rstrip() for t in found])
    say("All that is needed works." if payload["ok"] else "Mend what fails first.")
