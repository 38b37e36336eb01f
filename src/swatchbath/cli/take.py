"""swatchbath take."""

from __future__ import annotations

from typing import Any

import click

from .options import library_folder, library_options
from .screen import listed, progress, say, say_json


@click.command()
@click.argument("table", type=click.Path())
@click.option("--dry-run", is_flag=True, help="Show what would come of it, and keep nothing.")
@library_options
def take(table: str, dry_run: bool, library: str | None, as_json: bool) -> None:
    """Take in a spreadsheet of baths, or a whole exported library.

    \b
    Examples:
      swatchbath take my_swatches.csv --dry-run
      swatchbath take my_swatches.xlsx
      swatchbath take exported/ --library new-library

    Headings may be the trade's own words with their units, such as Temp (F) or Dye %
    WOF; semicolons and decimal commas are read. Rows that cannot be are left out with
    the reason; look at them first with --dry-run.
    """
    from .. import desk

    folder = library_folder(library)
    with progress(as_json) as bar:
        done = desk.take(folder, table, dry_run=dry_run, progress=bar)
    if as_json:
        say_json("take", done if isinstance(done, dict) else done.as_dict())
        return
    if isinstance(done, dict):
        say(f"{done['swatches']} swatches and {done['photos']} photos are in {done['folder']}.")
        return
    say("How the headings were read:")
    for h in done.headings:
        what = h.column + (f", in {h.unit}" if h.unit else "") if h.known else "kept, not used"
        say(f"{h.given}: {what}", indent=2)
    for row in done.preview:
        cells = (f"{name} {_short(value)}" for name, value in row.items() if name != "row")
        say(f"Row {row['row']}: {', '.join(cells)}")
    if done.taken and not dry_run:
        listed("Take care:", done.cautions)
        say(f"For every bath: {' '.join(done.general)}")
    would = "would be taken" if dry_run else "taken"
    rows = "row" if done.taken == 1 else "rows"
    say(f"{done.taken} {rows} {would} in {folder}, {len(done.left_out)} left out.")
    if not dry_run and len(done.codes) <= 50:
        for number, code in done.codes.items():
            say(f"{code}  row {number}", indent=2)
    listed("Left out:", (f"Row {number}: {reason}" for number, reason in done.left_out))
    listed("Is this right?", done.questions)


def _short(value: Any) -> str:
    if isinstance(value, dict):
        return " ".join(f"{k} {v}" for k, v in value.items())
    return f"{value:g}" if isinstance(value, float) else str(value)
