"""Suggestions that went out with a code, kept until the pot is dry and beyond."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from .clock import stamp
from .database import Database
from .rows import suggested, swatches


class GivenOut:
    """What a `Library` can do about its suggestions; not for use by itself."""

    folder: Path
    _database: Database

    def keep_suggestion(self, swatch: str, told: Mapping[str, Any]) -> None:
        """Keep what was suggested for a code (swatch). told : as values JSON can hold. Raises
        BadValue where there is a suggestion for it already."""
        with self._database.writing() as db:
            key = swatches.code_of(db, swatch, str(self.folder))
            suggested.keep(db, key, told, stamp())

    def suggestion(self, swatch: str) -> dict[str, Any] | None:
        """What was suggested for a swatch; None where nothing was."""
        with self._database.reading() as db:
            return suggested.of(db, swatches.code_of(db, swatch, str(self.folder)))

    def suggestions(self) -> dict[str, dict[str, Any]]:
        """All that was suggested with a code, by code, oldest first; what is in the bin not."""
        with self._database.reading() as db:
            return suggested.all_of(db)

    def dried_by_hand(self) -> list[str]:
        """Codes of the swatches that were dyed here and have dried: told line by line and read
        dry, not brought in from a table or a book."""
        with self._database.reading() as db:
            return suggested.dried(db)
