"""The last change taken back."""

from __future__ import annotations

from ...library import Library, Undone


def undo(library: Library) -> Undone:
    """Take back the last change: a value is put back, what was recorded goes to the bin."""
    return library.undo()
