"""What is kept of an error that nobody foresaw: a file of details, for whoever mends it."""

from __future__ import annotations

import os
import platform
import re
import tempfile
import traceback
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from ...version import __version__


def keep_details(error: BaseException, words: Sequence[str]) -> Path | None:
    """Write what happened into the log folder of the system, else into its folder for scratch;
    None where neither can be written. words : what was typed, of which values are left out."""
    from platformdirs import user_log_path

    text = "\n".join(
        [
            f"swatchbath {__version__}, Python {platform.python_version()}, {platform.platform()}",
            f"command: {_without_values(words)} (values are left out; an error's own words, below, "
            "may hold some)",
            "",
            *traceback.format_exception(error),
        ]
    )
    name = f"fault-{datetime.now(UTC):%Y%m%d-%H%M%S}-{os.getpid()}.txt"
    for place in (lambda: user_log_path("swatchbath", appauthor=False), tempfile.gettempdir):
        try:
            folder = Path(place())
            folder.mkdir(parents=True, exist_ok=True)
            (folder / name).write_text(text, encoding="utf-8", errors="backslashreplace")
        except OSError:
            continue
        return folder / name
    return None


def _without_values(words: Sequence[str]) -> str:
    """The verb and the names of its options."""
    options = [w.partition("=")[0] for w in words if re.match(r"--?[A-Za-z]", w)]
    verb = next((w for w in words if not w.startswith("-")), "")
    return " ".join(["swatchbath", verb, *options])
