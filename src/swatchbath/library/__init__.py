"""Her swatches on record: one folder with SQLite and the original photos."""

from .connection import is_library
from .exchange import read_table, write_table
from .find import Found, as_lab
from .store import Library
from .swatch import STATES, Swatch, check_name

__all__ = [
    "STATES",
    "Found",
    "Library",
    "Swatch",
    "as_lab",
    "check_name",
    "is_library",
    "read_table",
    "write_table",
]
