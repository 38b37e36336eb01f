"""How answers look in a terminal: words first, two-space indents, nothing wider than 80."""

from __future__ import annotations

import json
import os
import re
import sys
import textwrap
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

import click

from ..characters import in_json, shown

WIDTH = 80
SCHEMA = 1
# As `block` makes them.
_BLOCK = re.compile(r"(\x1b\[48;2;\d{1,3};\d{1,3};\d{1,3}m {4}\x1b\[0m)")


def echo(text: str = "", *, err: bool = False, nl: bool = True) -> None:
    """Print a line: the one place where words reach the terminal. What would steer it is taken
    out, but for our own colour blocks."""
    parts = _BLOCK.split(text) if colours_shown() else [text]
    # Every other part is a block.
    click.echo("".join(p if i % 2 else shown(p) for i, p in enumerate(parts)), err=err, nl=nl)


def say(text: str = "", *, indent: int = 0) -> None:
    """Print a paragraph, wrapped."""
    for line in paragraph(text, indent=indent):
        echo(line)


def paragraph(text: str = "", *, indent: int = 0) -> list[str]:
    """The lines of a paragraph, wrapped."""
    blank = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=blank, subsequent_indent=blank) or [""]


def say_json(use: str, answer: dict[str, Any]) -> None:
    """Print an answer as JSON: no time stamp, same input, same text."""
    echo(json_text({"schema": SCHEMA, "use": use} | answer))


def json_text(values: dict[str, Any]) -> str:
    """Values as JSON that a terminal can show."""
    return in_json(json.dumps(values, ensure_ascii=False, indent=2))


def tell(
    use: str, answer: dict[str, Any], as_json: bool, show: Callable[[dict[str, Any]], None]
) -> None:
    """An answer as JSON, or shown in words."""
    if as_json:
        say_json(use, answer)
    else:
        show(answer)


def colours_shown() -> bool:
    """Whether colour blocks are shown: a terminal known for 24-bit colour, and NO_COLOR unset."""
    return (
        not os.environ.get("NO_COLOR")
        and os.environ.get("TERM", "") != "dumb"
        and os.environ.get("COLORTERM", "").lower() in ("truecolor", "24bit")
        and sys.stdout.isatty()
    )


def block(screen: str) -> str:
    """Two full cells of a colour given as #rrggbb, and a blank; nothing where not shown."""
    if not colours_shown():
        return ""
    r, g, b = (int(screen[i : i + 2], 16) for i in (1, 3, 5))
    return f"\x1b[48;2;{r};{g};{b}m    \x1b[0m "


def lab(values: Iterable[float]) -> str:
    """A colour in figures."""
    L, a, b = (round(v) for v in values)  # whole numbers have no -0
    return f"L* {L}  a* {a}  b* {b}"


def reading_line(row: dict[str, Any]) -> str:
    """A reading's figures with its doubt, in one line."""
    how = row["measured_how"]
    return f"{lab(row['lab'])}, give or take {row['give_or_take']:.0f} (measured {how})"


def listed(title: str, sentences: Iterable[str]) -> None:
    """A title and its sentences, each a hanging paragraph; nothing when there are none."""
    for line in listing(title, sentences):
        echo(line)


def listing(title: str, sentences: Iterable[str]) -> list[str]:
    """The lines of a title and its sentences; none where there are no sentences."""
    found = list(sentences)
    lines = paragraph(title) if found else []
    for sentence in found:
        for i, line in enumerate(textwrap.wrap(sentence, WIDTH - 4)):
            lines.append(("  - " if i == 0 else "    ") + line)
    return lines


@contextmanager
def learning(quiet: bool) -> Iterator[None]:
    """Say on standard error that it learns, while that lasts, only in a terminal."""
    shown = not quiet and sys.stderr.isatty()
    if shown:
        click.echo("  learning from your swatches ...", nl=False, err=True)
    try:
        yield
    finally:
        if shown:
            click.echo("\r\x1b[K", nl=False, err=True)


@contextmanager
def progress(quiet: bool) -> Iterator[Any]:
    """A progress bar on standard error for long work, only in a terminal."""
    if quiet or not sys.stderr.isatty():
        yield None
        return
    bar: Any = None

    def step(done: int, of: int, what: str) -> None:
        nonlocal bar
        if bar is None:
            bar = click.progressbar(length=of, file=sys.stderr, label="", width=30)
            bar.__enter__()
        bar.label = f"  {shown(what)[:34]:34}"
        bar.update(done - bar.pos)

    try:
        yield step
    finally:
        if bar is not None:
            bar.__exit__(None, None, None)
