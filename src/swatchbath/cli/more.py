"""What `suggest` prints beside its ideas: vats, one change, dyed yarn, what was never dyed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import click

from .screen import block, listed, say

DIRECTIONS = (
    "lighter", "darker", "redder", "greener", "yellower", "bluer", "clearer", "greyer",
)  # fmt: skip


def more_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of "like this but" and of dyed yarn."""
    onto = click.option("--onto", metavar="CODE", help="Over this yarn, which is dyed already.")
    command = onto(command)
    for name in reversed(DIRECTIONS):
        words = f"A step {name} than SHADE, which is a swatch; twice for two steps."
        command = click.option(f"--{name}", count=True, help=words)(command)
    return command


def take_more(how: dict[str, Any]) -> dict[str, int]:
    """The directions asked for, taken out of the options."""
    return {name: n for name in DIRECTIONS if (n := how.pop(name))}


def say_first(payload: dict[str, Any], shown: set[str]) -> None:
    """What stands before the ideas: a blue's vat, what to change of a swatch, dyed yarn. shown :
    the cautions that stand already, to which those said here are added."""
    if payload["onto"] is not None:
        if payload["onto"]["refused"]:
            say(payload["onto"]["refused"])
        _ideas(payload["onto"]["ideas"], shown)
    if payload["changes"]["note"]:
        say(payload["changes"]["note"])
    _ideas(payload["changes"]["changes"], shown)
    if payload["vat"]["leads"]:
        _vat(payload["vat"], shown)


def say_later(payload: dict[str, Any], shown: set[str]) -> None:
    """What stands after the ideas, never dyed."""
    if not payload["vat"]["leads"]:
        _vat(payload["vat"], shown)
    _ideas(payload["beyond"], shown)


def _vat(vat: dict[str, Any], shown: set[str]) -> None:
    for sentence in vat["said"]:
        say(sentence)
    _ideas(vat["ideas"], shown)


def _ideas(ideas: Sequence[dict[str, Any]], shown: set[str]) -> None:
    for idea in ideas:
        listed("Take care:", [c for c in idea["cautions"] if c not in shown])
        shown.update(idea["cautions"])
        say(f"{block(idea['screen'])}{idea['words']}")
        say(idea["expected"], indent=2)
        for reason in idea.get("reasons", ()):
            say(f"Beyond what was dyed: {reason}.", indent=2)
