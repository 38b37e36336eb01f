"""The command line: a thin shell over the desk. One module a command: parse, call, show."""

from __future__ import annotations

import importlib
from typing import Any, NoReturn

import click

from ..errors import BadValue, LibraryError, SwatchbathError
from .screen import SCHEMA, echo, json_text, say

# Verb -> one line of help. Each has a module of its name here, with a command of its name.
VERBS = {
    "page": "Open your library in the browser, on this machine alone.",
    "demo": "Do the whole job on the sample swatches and leave a report.",
    "sheet": "Print a photo sheet, on which swatches need no marking.",
    "check": "Tell how good a photo is for colour.",
    "measure": "Measure the colour of swatches in a photo with a grey card.",
    "camera": "Learn how one camera sees under one light, from photos of a chart.",
    "record": "Put swatches with their baths on record.",
    "codes": "Give out codes for tags, before the fibre goes into a pot.",
    "pot": "Put a whole pot on record in one go: every swatch, part and after-bath.",
    "photos": "Take in many photos at once, named by the codes in the picture.",
    "waiting": "List what each swatch still waits for.",
    "take": "Take in a spreadsheet of baths, or a whole exported library.",
    "export": "Write the whole library as plain tables and photos.",
    "suggest": "Suggest baths for a shade, from your own swatches.",
    "plan": "Plan a pot day: the samples to dye next.",
    "delivery": "Check a new delivery of a dyestuff by a few swatches.",
    "predict": "Say what colour a bath is expected to give.",
    "explain": "Tell what your swatches teach, and what not.",
    "compare": "Tell whether two colours match.",
    "spread": "Tell how much spread is normal for you.",
    "piece": "Keep a piece of a shade, to judge later lots by.",
    "judge": "Judge a new lot by a kept piece, and tell whether the shade drifts.",
    "pile": "Sort a pile: which skeins go together, and in what order.",
    "find": "Find swatches by colour or by words.",
    "show": "Show all that is on record about a swatch.",
    "edit": "Correct what is on record about a swatch.",
    "undo": "Take back the last change.",
    "bin": "Put swatches in the bin, take them out, or see what is in it.",
    "backup": "Make a backup of the library: one dated file.",
    "restore": "Put a backup back into a new folder, and verify it.",
    "verify": "Verify the whole library: records, photos and codes.",
    "selftest": "Try what works on this machine, and tell how to get what is missing.",
}


# What people type for a verb that is called otherwise here.
_OTHERWISE = {
    "search": "find", "list": "find", "look": "find", "add": "record", "enter": "record",
    "new": "record", "delete": "bin", "remove": "bin", "trash": "bin", "change": "edit",
    "correct": "edit", "fix": "edit", "history": "show", "recipe": "show", "view": "show",
    "info": "show", "match": "compare", "tags": "codes", "tag": "codes", "code": "codes",
    "import": "take", "load": "take", "todo": "waiting", "next": "waiting", "status": "waiting",
    "start": "waiting", "dye": "pot", "bath": "pot", "lot": "pot", "save": "backup",
    "photo": "photos", "picture": "photos", "expect": "predict", "shade": "suggest",
    "sort": "pile", "group": "pile", "repeats": "spread", "keep": "piece", "standard": "piece",
    "drift": "judge", "revert": "undo", "back": "undo", "print": "sheet", "open": "page",
    "browser": "page", "web": "page", "test": "selftest",
    "health": "selftest",
}  # fmt: skip


def _near(word: str) -> str | None:
    """The verb that somebody may have meant, or None."""
    import difflib

    low = word.casefold()
    for known in (VERBS, _OTHERWISE):
        # 0.7 : serch is search, and bridge is nothing; our own choice.
        found = difflib.get_close_matches(low, known, n=1, cutoff=0.7)
        if found:
            return _OTHERWISE.get(found[0], found[0])
    return next((verb for verb in VERBS if len(low) > 2 and verb.startswith(low)), None)


class Verbs(click.Group):
    """Commands loaded when used; errors of ours as one sentence and exit 2, all others as 3."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in VERBS:
            return None
        command = getattr(importlib.import_module(f".{cmd_name}", __name__), cmd_name)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        # The one-line helps, without importing the commands.
        with formatter.section("Verbs"):
            formatter.write_dl(list(VERBS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        word = args[0]
        if word not in VERBS and not word.startswith("-") and not ctx.resilient_parsing:
            meant = _near(word)
            there = (
                f"did you mean {meant}? ({VERBS[meant].rstrip('.')})"
                if meant
                else f"these there are: {', '.join(VERBS)}"
            )
            raise BadValue(f"There is no command {word}; {there}. See swatchbath --help.")
        return super().resolve_command(ctx, args)

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        # An error is told in JSON too, where the answer would have been.
        ctx.obj = {"json": "--json" in args, "words": list(args)}
        try:
            return super().parse_args(ctx, args)
        except click.UsageError as error:
            return _refused(ctx, error)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except (SwatchbathError, click.ClickException) as error:
            return _refused(ctx, error)
        except KeyboardInterrupt:
            echo("swatchbath: Stopped; nothing in the library is half-written.", err=True)
            ctx.exit(130)
        except (click.exceptions.Exit, click.Abort, BrokenPipeError):
            raise
        except Exception as error:  # the last handler: a fault of ours is said plainly too
            return _faulted(ctx, error)


def _refused(ctx: click.Context, error: SwatchbathError | click.ClickException) -> NoReturn:
    """Say what is wrong in one sentence and leave with exit 2."""
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        raise error  # no mistake: the help is shown
    if isinstance(error, click.ClickException):
        verb = getattr(error, "ctx", None) or ctx
        sentence = f"{error.format_message().rstrip('.')}; see {verb.command_path} --help."
        sentence = sentence[0].upper() + sentence[1:]
        if isinstance(error, click.NoSuchOption) and error.option_name[1:2].isdigit():
            sentence = (
                "Write -- before colours that start with a minus: "
                + sentence[0].lower()
                + sentence[1:]
            )
    else:
        sentence = str(error)
    _leave(ctx, 2, {"kind": type(error).__name__, "sentence": sentence})


def _faulted(ctx: click.Context, error: Exception) -> NoReturn:
    """Say in one sentence that swatchbath itself went wrong, and leave with exit 3."""
    import sqlite3

    from ..desk import keep_details

    if isinstance(error, sqlite3.DatabaseError):  # no fault of ours, wherever it comes up
        _refused(
            ctx,
            LibraryError(
                "The library is damaged. swatchbath verify tells more; restore the last backup "
                "into a new folder: swatchbath restore FILE FOLDER"
            ),
        )
    file = keep_details(error, ctx.obj["words"])
    where = f"the details are in {file}" if file else "no file of details could be written"
    sentence = (
        "Something went wrong in swatchbath itself, not in what you typed; nothing in the library "
        f"is half-written, and {where}."
    )
    _leave(ctx, 3, {"kind": "fault", "sentence": sentence, "details": file and str(file)})


def _leave(ctx: click.Context, code: int, error: dict[str, Any]) -> NoReturn:
    if ctx.obj["json"]:
        payload = {"schema": SCHEMA, "error": error}
        echo(json_text(payload))
    echo(f"swatchbath: {error['sentence']}", err=True)
    ctx.exit(code)


@click.command(
    cls=Verbs,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="swatchbath VERB --help tells more, examples first. It works without a network and "
    "keeps everything in one folder (--library, or SWATCHBATH_LIBRARY). It ends with 0 when done, "
    "1 where the answer is no, 2 where what was typed cannot be, 3 by a fault of its own.",
)
@click.version_option(package_name="swatchbath", message="swatchbath %(version)s")
@click.pass_context
def main(ctx: click.Context) -> None:
    """From photographed swatches to the bath that gives a shade.

    \b
    Examples:
      swatchbath demo
      swatchbath measure pots.jpg --card 410,220,60 --swatch a=900,480,80
      swatchbath record --baths baths.csv --marks marks.csv
      swatchbath suggest 62,12,48 --limit fibre=wool
      swatchbath compare 20a 21a
    """
    if ctx.invoked_subcommand is None:
        echo(ctx.get_help())
        _begin()


def _begin() -> None:
    """Where to begin, in a place without a library."""
    from .options import library_folder

    folder = library_folder(None)
    if not (folder / "library.sqlite").is_file():
        say()
        say(f"There is no library in {folder} yet. Where to begin:")
        say("swatchbath demo      see it all done on sample swatches, in a few seconds", indent=2)
        say("swatchbath waiting   what to do with your first three swatches", indent=2)
