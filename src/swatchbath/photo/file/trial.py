"""A photo from outside opened once by another process, which may fail in the place of this one.

Decoders are large and old, and a file made to break one should not break the page with it. The
other process has a limit of time and, where the system knows one, of memory; it writes nothing.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from ...errors import PhotoRefused

# A raw file of 100 million pixels takes some 10 s and 2 GB on a slow machine. Our own choice.
SECONDS, MEMORY = 60, 4_000_000_000
# What the other process says when it has refused a photo with a sentence of ours.
_SENTENCE = 9

_WORK = """
import sys
try:
    import resource
    resource.setrlimit(resource.RLIMIT_AS, (int(sys.argv[2]),) * 2)
    resource.setrlimit(resource.RLIMIT_CPU, (int(sys.argv[3]),) * 2)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
except ImportError:  # no such limits on this system; the time is limited from outside
    pass
from swatchbath.errors import PhotoRefused
from swatchbath.photo.file.read import read_photo
try:
    read_photo(sys.argv[1]).picture.whole()
except PhotoRefused as error:
    sys.stdout.buffer.write(str(error).encode("utf-8", "replace"))
    sys.exit(9)
"""


def try_photo(path: str | Path, *, seconds: int = SECONDS, memory: int = MEMORY) -> None:
    """Open a photo wholly in another process. seconds : it may take; memory : in bytes.

    Raises PhotoRefused where the photo cannot be used, with the sentence it would be refused by
    here, and where the other process broke, took too long or wanted too much.
    """
    path = Path(path)
    try:
        done = subprocess.run(
            [sys.executable, "-I", "-c", _paths() + _WORK, path, str(memory), str(seconds)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=seconds,
        )
    except subprocess.TimeoutExpired as error:
        raise PhotoRefused(
            f"The photo {path.name} takes too long to open. Save it as a JPEG and send that."
        ) from error
    if done.returncode == _SENTENCE:
        raise PhotoRefused(done.stdout.decode("utf-8", "replace"))
    if done.returncode:
        raise PhotoRefused(
            f"The photo {path.name} cannot be opened: it breaks what reads such files. Copy it "
            "from the phone again, or save it as a JPEG."
        )


def _paths() -> str:
    """Where the other process, which heeds no setting from outside, finds our packages."""
    return f"import sys\nsys.path[:0] = {[p for p in sys.path if p]!r}\n"
