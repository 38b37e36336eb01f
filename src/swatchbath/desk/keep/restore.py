"""A backup put back into a new folder."""

from __future__ import annotations

from pathlib import Path

from ...library import Verified
from ...library import restore as restore_backup


def restore(file: str | Path, folder: str | Path) -> Verified:
    """Put a backup back into a new folder, and verify it."""
    return restore_backup(file, folder)
