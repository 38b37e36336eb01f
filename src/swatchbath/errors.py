"""Every error this package raises on purpose.

SwatchbathError
├── BadValue (also ValueError)      a value that cannot be: pH 19, an unknown fibre
│   ├── ShapeError                  an array of the wrong shape
│   └── ValueOutOfRange             a number outside what is allowed
├── BadTable (also ValueError)      a cell of a table, with its row and column
├── PhotoRefused (also ValueError)  a photo, card or mark that cannot be used; has .checks
├── NotEnoughSwatches (also ValueError)   too few or too alike to learn from
├── NotFound (also LookupError)     a code, file or column that is not there
└── LibraryError (also OSError)     the library folder cannot be opened or written

Each carries one sentence, ready for the person who dyes: what is wrong, where, and what to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from .characters import in_one_line, shown

__all__ = [
    "BadTable",
    "BadValue",
    "LibraryError",
    "NotEnoughSwatches",
    "NotFound",
    "PhotoRefused",
    "ShapeError",
    "SwatchbathError",
    "ValueOutOfRange",
]


class SwatchbathError(Exception):
    """Base of all errors of this package. The message is a sentence and never empty."""

    def __init__(self, message: str) -> None:
        if not message.strip():
            raise ValueError("an error needs a sentence")
        super().__init__(shown(in_one_line(message)))


class BadValue(SwatchbathError, ValueError):
    """A value that cannot be."""


class ShapeError(BadValue):
    """An array of the wrong shape."""


class ValueOutOfRange(BadValue):
    """A number outside what is allowed."""


class BadTable(SwatchbathError, ValueError):
    """A cell that cannot be read. `row` is counted as a spreadsheet shows it (heading = 1)."""

    def __init__(self, message: str, *, row: int | None = None, column: str | None = None) -> None:
        super().__init__(message)
        self.row = row
        self.column = column


class PhotoRefused(SwatchbathError, ValueError):
    """A photo, card or mark that cannot be used. `checks` holds what was found, if anything."""

    def __init__(self, message: str, *, checks: Sequence[Any] = ()) -> None:
        super().__init__(message)
        self.checks = tuple(checks)


class NotEnoughSwatches(SwatchbathError, ValueError):
    """Too few or too alike swatches for what was asked."""


class NotFound(SwatchbathError, LookupError):
    """A code, file or column that is not there. The message says what is."""


class LibraryError(SwatchbathError, OSError):
    """The library folder cannot be opened, read or written."""
