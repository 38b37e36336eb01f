"""The last change taken back."""

from __future__ import annotations

from ...library import Library, Undone


def undo(library: Library, change: int | None = None) -> Undone:
    """Take back the last change: a value is put back, what was recorded goes to the bin.

    change : its number (`Library.last_change`), where it was named on a screen: another program may
    have changed something since. Raises NotFound, BadValue.
    """
    return library.undo(change)
