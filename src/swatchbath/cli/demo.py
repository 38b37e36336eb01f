"""swatchbath demo."""

from __future__ import annotations

from typing import Any

import click

from .compare import show_comparison
from .options import json_option
from .screen import block, echo, listed, progress, reading_line, say, say_json
from .suggest import show_suggestion


@click.command()
@click.option("--folder", metavar="FOLDER", help="Where to leave it; else a new scratch folder.")
@json_option
def demo(folder: str | None, as_json: bool) -> None:
    """Do the whole job on the sample swatches and leave a report.

    \b
    Examples:
      swatchbath demo
      swatchbath demo --folder my-first-look

    The sample house is invented and its photos are drawn. Your own library is not
    touched.
    """
    from .. import desk

    def tell(stage: str, value: Any) -> None:
        if not as_json:
            STAGES[stage](value)

    with progress(as_json) as bar:
        done = desk.demo(folder, progress=bar, tell=tell)
    if as_json:
        say_json("demo", done.as_dict())
        return
    say()
    say("To look round the sample house in the browser:")
    echo(f"  swatchbath page --library {done.folder / 'library'}")
    say("The other verbs take --library with the same folder.")
    say("The report with pictures of all this:")
    echo(f"  {done.report}")


def _recorded(done: Any) -> None:
    say(
        f"{done.readings} readings of {len(done.codes)} swatches from {done.photos} photos, for "
        "example:",
        indent=3,
    )
    from .. import desk

    for photo in list(done.shots.values())[:5]:
        name = next(iter(photo))
        row = desk.measured_as_dict(name, photo[name])
        say(f"{block(row['screen'])}{name}: {row['words']}, {reading_line(row)}", indent=5)
    listed("   Not read:", done.left_out)
    listed("   Is this right?", done.questions[:4])
    say()
    say("2. Learning what each condition does, and checking it on lots left out.")


def _learnt(learnt: Any) -> None:
    say(learnt.trust, indent=3)
    say(learnt.coverage_words, indent=3)
    odd = [learnt.name(int(i)) for i in learnt.model.outliers_]
    if odd:
        say(
            f"Swatches that no other explains (a slip in the record, or a pot that went "
            f"otherwise): {', '.join(dict.fromkeys(odd))}.",
            indent=3,
        )
    say()
    say("3. A customer likes a swatch of wool and wants that shade on silk.")


def _suggestion(payload: dict[str, Any]) -> None:
    show_suggestion(payload)
    say()
    say("4. Do these match, as the same shade to a customer?")


def _comparison(payload: dict[str, Any]) -> None:
    say()
    say(f"{payload['about'][0].upper()}{payload['about'][1:]}:")
    show_comparison(payload)


def _started(report: Any) -> None:
    say("All this will stand with pictures in")
    echo(f"  {report}")
    say()
    say("1. Measuring the photos against their grey cards, and pairing each swatch with")
    say("   its bath.")


STAGES = {
    "started": _started,
    "recorded": _recorded,
    "learnt": _learnt,
    "suggestion": _suggestion,
    "comparison": _comparison,
}
