"""Signs that a folder is kept in step with another computer, where two copies of a library can
meet half-written.

No product is looked for by name: folders of that kind carry hidden marks that tell of keeping in
step, stand below a folder of the system's own for it, or hold files renamed after a clash.
Common practice, no source.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

# Words in the name of a hidden file or folder, or of a folder in one's own home.
_HIDDEN = re.compile(r"^[.~_].*(sync|cloud|drop|stfolder|owncl)", re.IGNORECASE)
_NAMED = re.compile(r"(cloud|sync|drive|dropbox)$|^(cloud|sync|dropbox)", re.IGNORECASE)
_OF_THE_SYSTEM = ("Mobile Documents", "CloudStorage")
# How such programs rename a file of which there are two.
CLASHED = re.compile(r"conflict|\bclash\b|\(\d+\)\.sqlite|library \d+\.sqlite", re.IGNORECASE)


def is_kept_in_step(folder: Path) -> bool:
    """Whether a folder, or one that it lies in, looks as if it were kept in step."""
    here = folder.absolute()
    home = Path(os.path.expanduser("~"))
    for place in (here, *here.parents):
        if place in (home, Path(place.anchor)):
            break  # what lies loose there says nothing of this folder
        if place.name in _OF_THE_SYSTEM or any(_HIDDEN.match(n) for n in _names(place)):
            return True
        if home in place.parents and _NAMED.search(place.name):
            return True
    return False


def clashes(folder: Path) -> list[str]:
    """Names of files in a library's folder that such a program renamed after a clash."""
    return sorted(n for n in _names(folder) if CLASHED.search(n))


def _names(folder: Path) -> list[str]:
    try:
        return os.listdir(folder)
    except OSError:
        return []
