"""The stored fit beside the library: what was learnt, so that it need not be learnt each time.

`learnt.json` holds nothing that is not in the record and may be deleted at any time. It is only
used where every row and this program agree with it (`swatchbath.predict.regression.persistence`).
"""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from ...library import Library
from ...library.connection import FILE

__all__ = ["FIT_FILE", "store_text", "stored_text"]

FIT_FILE = "learnt.json"


def stored_text(library: Library) -> str | None:
    """The text of the stored fit; None where there is none that can be read."""
    try:
        return (library.folder / FIT_FILE).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return None


def store_text(library: Library, text: str) -> bool:
    """Keep a fit beside the library, whole or not at all; whether it was kept.

    A library that can only be read, or a full disk, is no reason to refuse an answer: it is
    learnt again the next time.
    """
    if not library.writable:
        return False
    part = None
    try:
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=library.folder, prefix=".learnt-", delete=False
        ) as file:
            part = Path(file.name)
            file.write(text)
        shutil.copymode(library.folder / FILE, part)  # readable by whoever may read the record
        os.replace(part, library.folder / FIT_FILE)
    except OSError:
        if part is not None:
            part.unlink(missing_ok=True)
        return False
    return True
