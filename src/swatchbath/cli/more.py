"""What `suggest` tells beside its ideas: vats, one change, dyed yarn, what was never dyed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import click

from .screen import block, listing, paragraph

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


def cautions(care: dict[str, Any], said: set[str]) -> list[str]:
    """The cautions of an idea that do not stand yet; they do then."""
    new = [c for c in (*care["full"], care["brief"], care["general"]) if c and c not in said]
    said.update(new)
    return new


def first_lines(payload: dict[str, Any], said: set[str]) -> list[str]:
    """What leads, before the ideas: a blue's vat, what to change of a swatch, dyed yarn. said : the
    cautions that stand already, to which those told here are added."""
    lines: list[str] = []
    if payload["onto"] is not None:
        lines += paragraph(payload["onto"]["refused"]) if payload["onto"]["refused"] else []
        lines += _ideas(payload["onto"]["ideas"], said)
    lines += paragraph(payload["changes"]["note"]) if payload["changes"]["note"] else []
    lines += _ideas(payload["changes"]["changes"], said)
    return lines + (_vat(payload["vat"], said) if payload["vat"]["leads"] else [])


def later_lines(payload: dict[str, Any], said: set[str]) -> list[str]:
    """What stands after the ideas, never dyed."""
    vat = [] if payload["vat"]["leads"] else _vat(payload["vat"], said)
    return vat + _ideas(payload["beyond"], said)


def _vat(vat: dict[str, Any], said: set[str]) -> list[str]:
    return [line for text in vat["said"] for line in paragraph(text)] + _ideas(vat["ideas"], said)


def _ideas(ideas: Sequence[dict[str, Any]], said: set[str]) -> list[str]:
    lines: list[str] = []
    for idea in ideas:
        # Before the words: amounts stand in them.
        lines += listing("Take care:", cautions(idea["care"], said))
        lines += paragraph(f"{block(idea['screen'])}{idea['words']}")
        lines += paragraph(idea["expected"], indent=2)
        for reason in idea.get("reasons", ()):
            lines += paragraph(f"Beyond what was dyed: {reason}.", indent=2)
    return lines
