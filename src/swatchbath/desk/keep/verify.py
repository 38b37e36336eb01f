"""The whole library read through."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from ...library import Verified
from ...library import verify as verify_library


def verify(
    folder: str | Path, *, photos: str | Path | None = None, progress: Any = None
) -> Verified:
    """Read the whole library and tell what is wrong and what to do.

    photos : a folder in which photos that are missing or altered are looked for and put back.
    """
    return verify_library(folder, search=photos, progress=progress)
