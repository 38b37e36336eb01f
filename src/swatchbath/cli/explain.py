"""swatchbath explain."""

from __future__ import annotations

from typing import Any

import click

from .options import library_options, opened
from .screen import learning, listed, say, tell


@click.command()
@click.argument("swatch", required=False)
@click.option(
    "--limit",
    "limits",
    metavar="COLUMN=...",
    multiple=True,
    help="The swatches whose answers are drawn: fibre=wool; once for each.",
)
@click.option("--page", metavar="FILE", help="Write it with charts, as a page to look at.")
@library_options
def explain(
    swatch: str | None,
    limits: tuple[str, ...],
    page: str | None,
    library: str | None,
    as_json: bool,
) -> None:
    """Tell what your swatches teach, and what not.

    \b
    Examples:
      swatchbath explain
      swatchbath explain --limit fibre=wool --limit dyestuff=madder
      swatchbath explain --page learnt.html --json
      swatchbath explain 23a

    What matters most, how the colour answers to each number, which swatches were missed
    when their lot was left out and why that may be, and what always came together so
    that nothing can tell it apart. With a SWATCH: why that one came out as it did.
    """
    from .. import desk

    if swatch is not None:
        if limits or page:
            raise click.UsageError("--limit and --page are for all swatches; leave SWATCH out.")
        with opened(library) as lib, learning(as_json):
            one = desk.explain_swatch(lib, swatch)
        tell("explain", one.as_dict(), as_json, show_swatch_explained)
        return
    with opened(library) as lib, learning(as_json):
        found = desk.explain(lib, limits=limits)
        written = str(desk.write_explanation(found, page)) if page else None
    tell("explain", found.as_dict() | {"page": written}, as_json, show_explanation)


def show_explanation(payload: dict[str, Any]) -> None:
    """Print what was learnt."""
    from .. import desk

    say(payload["trust"])
    say(payload["held"])
    if payload["tally"]["words"]:
        say(payload["tally"]["words"])
    say()
    listed(
        f"What matters most (a swatch is missed by {payload['usual_error']:.1f} on average, and "
        "when this is hidden, by more):",
        [desk.matters_words(m) for m in payload["matters"]],
    )
    say()
    say(f"How the colour answers, from this bath: {' '.join(payload['bath']['words'])}")
    listed("One number at a time:", [desk.curve_words(c) for c in payload["curves"]])
    say()
    listed("The worst misses, each lot left out:", [_miss(m) for m in payload["misses"]])
    say()
    listed("What your record cannot tell apart:", [t["sentence"] for t in payload["together"]])
    listed("What is blank:", [b["sentence"] for b in payload["blanks"]])
    listed("Look at these again:", payload["questions"])
    listed("Notes:", payload["notes"])
    if payload["page"]:
        say(f"Charts are in {payload['page']}.")


def show_swatch_explained(payload: dict[str, Any]) -> None:
    """Print why a swatch came out as it did."""
    name = f" ({payload['name']})" if payload["name"] else ""
    say(f"{payload['code']}{name}: {' '.join(payload['bath'])}")
    for sentence in payload["said"]:
        say(sentence, indent=2)


def _miss(miss: dict[str, Any]) -> str:
    name = f" ({miss['name']})" if miss["name"] else ""
    words = miss["words"]
    how = "much as expected" if words.startswith("no difference") else f"{words} than expected"
    return (
        f"{miss['code']}{name}: {how} (CIEDE2000 {miss['delta_e2000']:.0f}). "
        f"{' '.join(miss['reasons'])}"
    )
