"""What is kept beside a dye lot or a delivery of a dyestuff, told or corrected."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from ...library import BesideEdited, Library
from .edit import own_names_checked, parsed_cells

_NAMES = {"session": "dye day"}


@dataclass(frozen=True)
class BesideAnswer:
    """What was changed of a lot or a delivery, and which swatches come of it."""

    kind: str  # dye lot, or dyestuff lot
    edited: BesideEdited

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "kind": self.kind,
            "name": self.edited.name,
            "changed": {n: list(v) for n, v in self.edited.changed.items()},
            "codes": list(self.edited.codes),
        }

    @property
    def sentences(self) -> list[str]:
        """What was changed, one sentence each."""
        e = self.edited
        out = [
            f"{_NAMES.get(n, n)}: {b} is kept now." if a is None else
            f"{_NAMES.get(n, n)}: {a} is not kept any more." if b is None else
            f"{_NAMES.get(n, n)}: {a} is now {b}."
            for n, (a, b) in e.changed.items()
        ]  # fmt: skip
        out = out or ["All of this is on record so already; nothing was changed."]
        if e.codes:
            count = "1 swatch comes" if len(e.codes) == 1 else f"{len(e.codes)} swatches come"
            out.append(f"{count} of it, and show it too.")
        else:
            out.append("No swatch on record comes of it yet.")
        return out


def edit_lot(library: Library, lot: str, cells: Iterable[str], *, why: str = "") -> BesideAnswer:
    """Keep a note or a column of her own with a dye lot, or correct its dye day (session)."""
    values = own_names_checked(parsed_cells(cells))
    return BesideAnswer("dye lot", library.edit_lot(lot, values, why=why))


def edit_dyestuff_lot(
    library: Library, lot: str, cells: Iterable[str], *, why: str = ""
) -> BesideAnswer:
    """Keep a note, season, price, provenance or a column of her own with a delivery or harvest of
    a dyestuff, or a jar of a liquor, by the name that baths give it."""
    values = own_names_checked(parsed_cells(cells))
    return BesideAnswer("dyestuff lot", library.edit_dyestuff_lot(lot, values, why=why))
