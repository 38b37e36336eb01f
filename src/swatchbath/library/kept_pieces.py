"""The shades a library keeps for others to be judged against."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ..colorimetry.measurement import Measurement
from ..errors import BadValue, NotFound
from .clock import stamp
from .database import Database
from .history import fields
from .history.changes import NEW, Value, differences
from .rows import kept_pieces, lots, swatches
from .rows.kept_pieces import KeptPiece

_LOT = re.compile(r"lot\s+(.+)", re.IGNORECASE)


class KeptPieces:
    """What a `Library` can do about its kept pieces; not for use by itself."""

    folder: Path
    _database: Database

    def keep_piece(
        self, name: str, colour: Measurement, *, codes: Iterable[str] = (), within: float,
        lies: str = "",
    ) -> KeptPiece:  # fmt: skip
        """Keep a shade to judge others by. name : hers. colour : under D65/2. codes : of the
        swatches it was read from. within : how close others must be, CIEDE2000. lies : where the
        piece lies. Raises BadValue, NotFound."""
        with self._database.writing() as db:
            known = [swatches.code_of(db, code, str(self.folder)) for code in codes]
            row = kept_pieces.add(db, name, known, colour, within, lies, stamp())
            self._database.note("record", [Value("kept piece", str(row), NEW, None, True, {})])
            return kept_pieces.named(db, name)

    def kept_pieces(self) -> list[KeptPiece]:
        """All kept pieces, oldest first."""
        with self._database.reading() as db:
            return kept_pieces.all_of(db)

    def kept_piece(self, name: str) -> KeptPiece:
        """The kept piece of this name, capitals aside. Raises NotFound."""
        with self._database.reading() as db:
            return kept_pieces.named(db, name)

    def change_kept_piece(self, name: str, **changes: Any) -> KeptPiece:
        """Change, of the piece of a name, how close others must be (within), where it lies (lies),
        or what was judged by it (judged, codes in order), as changes by those names. Raises
        BadValue, NotFound."""
        with self._database.writing() as db:
            piece = kept_pieces.named(db, name)
            self._put(piece, kept_pieces.checked(changes))
            return kept_pieces.named(db, name)

    def let_piece_go(self, name: str) -> KeptPiece:
        """Keep a shade no more (name, of the piece); undo brings it back. Raises NotFound."""
        with self._database.writing() as db:
            piece = kept_pieces.named(db, name)
            self._put(piece, {"binned": stamp()})
            return piece

    def codes_of(self, called: str) -> list[str]:
        """Codes of what is called so: one swatch by its code or name, else those of a lot, oldest
        first, "lot 20" or 20. Raises NotFound, BadValue."""
        with self._database.reading() as db:
            try:
                return [swatches.code_of(db, called, str(self.folder))]
            except (NotFound, BadValue):
                lot = _LOT.fullmatch(called.strip())
                of_lot = lot is not None and lots.is_lot(db, lot[1].strip())
                for name in (called.strip(), *([lot[1].strip()] if lot and of_lot else [])):
                    if found := lots.swatches_of_pot(db, name):
                        return found
                raise

    def _put(self, piece: KeptPiece, values: dict[str, Any]) -> None:
        key, db = str(piece.id), self._database.db
        before = fields.read(db, "kept piece", key)
        fields.write(db, "kept piece", key, values)
        after = before | values
        self._database.note("edit", differences("kept piece", key, before, after))
