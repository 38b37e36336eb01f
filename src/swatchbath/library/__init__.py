"""Her swatches on record: one folder with SQLite and the original photos."""

from .exchange import read_table, write_table
from .find import Found, as_lab
from .store import STATES, Library, Swatch

__all__ = ["STATES", "Found", "Library", "Swatch", "as_lab", "read_table", "write_table"]
