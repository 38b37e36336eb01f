"""swatchbath page."""

from __future__ import annotations

from pathlib import Path

import click

from .options import library_folder, library_options
from .screen import echo, say, say_json


@click.command()
@click.option("--port", type=click.IntRange(1, 65535), help="Where it listens. Else any free port.")
@click.option("--no-open", is_flag=True, help="Do not open the browser; tell the address only.")
@click.option(
    "--icon",
    metavar="[FOLDER]",
    is_flag=False,
    flag_value="",
    help="Put an icon that opens it on the desktop, or into a folder, and do no more.",
)
@click.option(
    "--folder",
    metavar="FOLDER",
    type=click.Path(exists=True, file_okay=False),
    help="Photos that are put into it wait on the page.",
)
@library_options
def page(
    library: str | None,
    as_json: bool,
    port: int | None,
    no_open: bool,
    icon: str | None,
    folder: str | None,
) -> None:
    """Open your library in the browser, on this machine alone.

    \b
    Examples:
      swatchbath page
      swatchbath page --icon
      swatchbath page --library ~/dyes --icon ~/Documents
      swatchbath page --folder ~/Pictures/from-phone
      swatchbath page --no-open --port 8100

    Nothing leaves this machine, and nobody else can look in. It goes on until you press
    Ctrl-C or close it under Backup and bin; nothing that was recorded is lost by that.
    Where it is open already, it is opened once more.
    """
    place = library_folder(library)
    if icon is not None:
        from ..web.icon import write_icon

        file = write_icon(place, icon or None)
        if as_json:
            say_json("page", {"icon": str(file)})
            return
        say("A double click on this opens your library:")
        echo(f"  {file}")
        say("If the system asks whether it may be started, say yes.")
        return
    from ..web.server import Door, address, bound, serve, there_already

    door = Door.of(place)
    again = there_already(door)
    if again is not None:
        _tell(again, as_json, no_open)
        return
    with bound(port, before=door.port()) as sock:
        at = sock.getsockname()[1]
        where = address(at, door.new_key(at))
        watched = Path(folder).resolve() if folder else None
        serve(
            place, sock, door=door, watched=watched,
            ready=lambda: _tell(where, as_json, no_open),
        )  # fmt: skip


def _tell(where: str, as_json: bool, no_open: bool) -> None:
    """Say where the page is, and open the browser."""
    import webbrowser

    if as_json:
        say_json("page", {"address": where})
    else:
        say("Your library is open in the browser. If it does not come up, go to this address:")
        echo(f"  {where}")
        say("The address opens it once. Press Ctrl-C here to stop.")
    if not no_open:
        webbrowser.open(where)
