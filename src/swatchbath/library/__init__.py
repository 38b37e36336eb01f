"""Her swatches on record: one folder with SQLite and the original photos."""

from .backup import Backup, back_up, reminder
from .bin import Binned, Emptied
from .changes import Undone, Value
from .connection import is_library
from .edits import Edited
from .exchange import read_table, write_table
from .find import Found, as_lab
from .leftovers import Finding
from .restoring import restore
from .store import Library
from .swatch import STATES, Swatch, check_name
from .verifying import Verified, verify

__all__ = [
    "STATES",
    "Backup",
    "Binned",
    "Edited",
    "Emptied",
    "Finding",
    "Found",
    "Library",
    "Swatch",
    "Undone",
    "Value",
    "Verified",
    "as_lab",
    "back_up",
    "check_name",
    "is_library",
    "read_table",
    "reminder",
    "restore",
    "verify",
    "write_table",
]
