"""A backup of the library, and what to say of it once beside any answer."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ...library import Backup, Library, back_up, reminder
from ...library.safety.strays import KEPT_IN_STEP
from ...library.safety.synced_folder import is_kept_in_step


def backup(library: Library, place: str | Path | None = None, *, progress: Any = None) -> Backup:
    """Make a backup of the library: one dated file, in the place named last time if none is."""
    return back_up(library, place, progress=progress)


def reminders(library: Library) -> list[str]:
    """What to say once beside any answer: a backup that is due, a folder that is kept in step."""
    due = reminder(library)
    shared = [" ".join(KEPT_IN_STEP)] if is_kept_in_step(library.folder) else []
    return [*([due] if due else []), *shared]
