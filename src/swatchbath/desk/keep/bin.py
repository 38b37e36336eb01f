"""The bin: what is in it, into it, out of it, and emptied for good."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ...errors import BadValue
from ...library import Binned, Emptied, Library


@dataclass(frozen=True)
class BinAnswer:
    """What is in the bin, and what was just done. put, took : the code. emptied : what is gone."""

    things: tuple[Binned, ...]
    put: str | None = None
    took: str | None = None
    emptied: Emptied | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        gone = self.emptied
        return {
            "put": self.put,
            "took_out": self.took,
            "emptied": None
            if gone is None
            else {"codes": list(gone.codes), "readings": gone.readings, "photos": gone.photos},
            "in_bin": [
                {"code": t.code, "name": t.name, "reading": t.reading, "what": t.what}
                for t in self.things
            ],
        }


def bin(
    library: Library,
    swatch: str | None = None,
    *,
    reading: int | None = None,
    take_out: bool = False,
    why: str = "",
    empty: bool = False,
    for_good: bool = False,
) -> BinAnswer:
    """List the bin; put a swatch or one of its readings in, or take it out; or empty it.

    Emptying is refused until it is said that it is for good.
    """
    if empty:
        if swatch is not None or reading is not None or take_out:
            raise BadValue(
                "Emptying the bin concerns all that is in it; leave the swatch out, or leave "
                "--empty out."
            )
        there = library.in_bin()
        if there and not for_good:
            count = f"{len(there)} thing{'' if len(there) == 1 else 's'}"
            raise BadValue(
                f"There {'is' if len(there) == 1 else 'are'} {count} in the bin, and emptying it "
                "cannot be taken back. Make a backup, then say --empty --for-good."
            )
        return BinAnswer((), emptied=library.empty_bin())
    if for_good:
        raise BadValue("--for-good goes with --empty. Leave it out.")
    if swatch is None:
        if reading is not None or take_out:
            raise BadValue("Say which swatch: its code or its name.")
        return BinAnswer(tuple(library.in_bin()))
    if take_out:
        took = library.take_out(swatch, reading=reading)
        return BinAnswer(tuple(library.in_bin()), took=took)
    put = library.put_in_bin(swatch, reading=reading, why=why)
    return BinAnswer(tuple(library.in_bin()), put=put)
