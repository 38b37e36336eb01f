"""Her own swatches in a terminal: each as it is fetched from the box, and what to do with them."""

from __future__ import annotations

from typing import Any

from .screen import say


def piece_words(piece: dict[str, Any]) -> str:
    """A swatch as it is fetched from the box, in one line."""
    name = f" ({piece['name']})" if piece["name"] else ""
    of = [piece["dyestuff"], f"on {piece['fibre']}" if piece["fibre"] else ""]
    told = [" ".join(word for word in of if word), piece["words"]]
    return f"{piece['code']}{name}: {', '.join(word for word in told if word)}"


def say_own_yarn(payload: dict[str, Any]) -> None:
    """The swatches to lay beside a shade, where that would help."""
    if payload["lay_beside"]:
        say()
        say(payload["lay_beside_words"])
        for piece in payload["lay_beside"]:
            say(piece_words(piece), indent=2)
