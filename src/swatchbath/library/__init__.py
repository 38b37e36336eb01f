"""Her swatches on record: one folder with SQLite and the original photos."""

from .connection import is_library
from .find import Found, as_lab, swatch_row
from .history.beside import BesideEdited
from .history.bin import Binned, Emptied
from .history.changes import Undone
from .history.edits import Edited
from .library import Library
from .listing import ListedSwatch
from .rows.kept import KEPT
from .rows.kept_pieces import KeptPiece
from .rows.swatch import STATES, Swatch, check_name
from .safety.backup import Backup, BackupState, back_up, backup_state, reminder
from .safety.restore import restore
from .safety.verify import Verified, verify
from .tables import read_rows, read_table, write_table

__all__ = [
    "KEPT",
    "STATES",
    "Backup",
    "BackupState",
    "BesideEdited",
    "Binned",
    "Edited",
    "Emptied",
    "Found",
    "KeptPiece",
    "Library",
    "ListedSwatch",
    "Swatch",
    "Undone",
    "Verified",
    "as_lab",
    "back_up",
    "backup_state",
    "check_name",
    "is_library",
    "read_rows",
    "read_table",
    "reminder",
    "restore",
    "swatch_row",
    "verify",
    "write_table",
]
