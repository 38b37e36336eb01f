"""The options that say how close colours must be."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

# As `desk` knows them; said here so that --help loads nothing.
PURPOSES = ("garment", "customer", "family")


def closeness_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """--tolerance and --for."""
    for option in (
        click.option(
            "--for",
            "purpose",
            type=click.Choice(PURPOSES),
            help="For one garment (2, as if not said), one shade to a customer (4), a family (8).",
        ),
        click.option(
            "--tolerance", type=float, metavar="NUMBER", help="How close, as CIEDE2000, instead."
        ),
    ):
        command = option(command)
    return command
