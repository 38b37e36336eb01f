"""swatchbath take."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("table", type=click.Path())
@click.option("--dry-run", is_flag=True, help="Show what would come of it, and keep nothing.")
@click.option(
    "--column",
    "columns",
    metavar="HEADING=COLUMN",
    multiple=True,
    help="What a heading means, where it was taken for something else; once for each.",
)
@click.option(
    "--set",
    "cells",
    metavar="COLUMN=VALUE",
    multiple=True,
    help="What holds for every row that does not say otherwise; once for each.",
)
@click.option(
    "--word",
    "words",
    metavar="WORD=MEANING",
    multiple=True,
    help='What a word of yours means, such as "Corriedale=wool"; once for each.',
)
@click.option("--prefix", default="", metavar="WORD", help="Put before every name of this table.")
@click.option("--again", is_flag=True, help="Take rows that were taken before a second time.")
@library_options
def take(library: str | None, as_json: bool, **how: Any) -> None:
    """Take in a spreadsheet of baths, or a whole exported library.

    \b
    Examples:
      swatchbath take my_swatches.csv --dry-run
      swatchbath take my_swatches.xlsx --column "Base=note" \\
          --column "Ink=leave out" --word "Corriedale=wool"
      swatchbath take my_swatches.ods --set fibre=wool --prefix "2024-"
      swatchbath take exported/ --library new-library

    CSV, XLSX and ODS. Headings may be the trade's own words with or without their
    units, such as Temp (F) or Alum % WOF, in one row or two; ditto marks, decimal
    commas and whole diary lines in a cell are read. What each heading was taken for
    is shown with the first rows; change it with --column (a column, note, or leave
    out). Rows that cannot be are left out with the reason; rows taken before are
    not taken twice.
    """
    from .. import desk

    folder = library_folder(library)
    dry_run = how["dry_run"]
    with progress(as_json) as bar:
        done = desk.take(folder, how.pop("table"), progress=bar, **how)
    if as_json:
        say_json("take", done if isinstance(done, dict) else done.as_dict())
        return
    if isinstance(done, dict):
        swatches = desk.counted(done["swatches"], "swatch", "swatches")
        photos = desk.counted(done["photos"], "photo")
        say(f"{swatches} and {photos}: now in {done['folder']}.")
        return
    say("How the headings were read:")
    for h in done.headings:
        say(f"{h.given or '(no heading)'}: {h.words}", indent=2)
    if any(not h.known for h in done.headings):
        say('To change one: --column "its heading=column", =note, or =leave out.', indent=2)
    if done.preview:
        say("The first rows as they would be recorded:" if dry_run else "The first rows:")
    for row in done.preview:
        name = f", {row['name']}" if "name" in row else ""
        say(f"Row {row['row']}{name}", indent=2)
        for sentence in (*row["as_recorded"], *row["beside"]):
            say(sentence, indent=4)
    if done.taken and not dry_run:
        listed("Take care:", done.cautions)
        say(f"For every bath: {' '.join(done.general)}")
    would = "would be taken" if dry_run else "taken"
    rows = "row" if done.taken == 1 else "rows"
    say(f"{done.taken} {rows} {would} in {folder}, {len(done.left_out)} left out.")
    if not dry_run and len(done.codes) <= 50:
        for number, code in done.codes.items():
            say(f"{code}  row {number}", indent=2)
    listed("Left out:", _left_out(done))
    listed(
        "Not recorded, for they stand alone in the table:",
        (f"Row {number}: {text}" for number, text in done.alone),
    )
    listed("Is this right?", done.questions)


def _left_out(done: Any) -> list[str]:
    """Rows with the same reason in one line; those that were taken before in another."""
    before = sorted(done.taken_before)
    reasons: dict[str, list[int]] = {}
    for number, reason in done.left_out:
        if number not in done.taken_before:
            reasons.setdefault(reason, []).append(number)
    out = [f"{_rows(numbers)}: {reason}" for reason, numbers in reasons.items()]
    if before:
        one = len(before) == 1
        out.append(
            f"{_rows(before)}: brought in before. To take {'it' if one else 'them'} a second "
            f"time on purpose, add --again{'' if one else ', and --prefix where they have names'}."
        )
    return out


def _rows(numbers: list[int]) -> str:
    """Row 3; rows 3 to 7 and 9."""
    if len(numbers) == 1:
        return f"Row {numbers[0]}"
    runs: list[list[int]] = []
    for n in numbers:
        if runs and n == runs[-1][-1] + 1:
            runs[-1].append(n)
        else:
            runs.append([n])
    words = [f"{r[0]} to {r[-1]}" if len(r) > 1 else str(r[0]) for r in runs]
    return f"Rows {', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else f"Rows {words[0]}"
