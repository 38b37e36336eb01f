"""Every swatch in a line: enough to sort, bundle and leaf through a box of many, and no more."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from dataclasses import dataclass
from pathlib import Path

from .connection import FILE
from .database import Database
from .find import check_request
from .rows import search_index


@dataclass(frozen=True, slots=True)
class ListedSwatch:
    """A swatch in a line. number : running, in the order of recording. plants, mordants, tannins,
    afters : names of what it was treated with, in order. kinds : of its treatments, in order.
    lab : D65/2 of its latest dry reading, or None. read : whether it was read at all, wet or dry.
    shown : what photos show of it."""

    code: str
    number: int
    name: str | None
    lot: str | None
    part: str | None
    session: str | None
    fibre: str | None
    fibre_form: str | None
    added: str
    plants: tuple[str, ...]
    mordants: tuple[str, ...]
    tannins: tuple[str, ...]
    afters: tuple[str, ...]
    kinds: tuple[str, ...]
    lab: tuple[float, float, float] | None
    read: bool
    shown: frozenset[str]

    @property
    def has_bath(self) -> bool:
        """Whether anything is told of its fibre or its bath."""
        return bool(self.kinds or self.fibre or self.fibre_form)


class Listing:
    """What a `Library` can tell of all its swatches at once; not for use by itself."""

    folder: Path
    _database: Database

    def listed(self) -> tuple[ListedSwatch, ...]:
        """Every swatch that is not in the bin, oldest first.

        It is remembered for as long as the library's files stay as they are: a box of thousands
        is leafed through page by page.
        """
        state = _state(self.folder)
        known = _remembered.get(self.folder)
        if known is not None and known[0] == state:
            return known[1]
        with self._database.reading() as db:
            unkept = self._database.make_entries(search_index.missing(db))
            found = tuple(_listed(db, search_index.colours(db, [], unkept)))
        if len(_remembered) > 1:
            _remembered.clear()
        _remembered[self.folder] = (state, found)
        return found

    def telling(self, text: str) -> list[str]:
        """Codes of the swatches that hold all the words of a text, newest first."""
        _, words = check_request(None, text, 1)
        with self._database.reading() as db:
            unkept = self._database.make_entries(search_index.missing(db))
            return search_index.matching(db, words, unkept, _ALL)


# Folder -> the state of its files, and the list made of them then.
_remembered: dict[Path, tuple[tuple[int, ...], tuple[ListedSwatch, ...]]] = {}


def _state(folder: Path) -> tuple[int, ...]:
    """What changes with every write to a library: when its files were written, and their size."""
    out = []
    for name in (FILE, f"{FILE}-wal"):
        try:
            found = (folder / name).stat()
        except OSError:
            out += [0, 0]
        else:  # an empty log is made anew whenever the library is opened
            out += [found.st_mtime_ns, found.st_size] if found.st_size else [0, 0]
    return tuple(out)


_ALL = 1 << 40  # more than there are
_ROLES = {"dyestuff": 0, "mordant": 1, "tannin": 2, "modifier": 3}
_NO_STEPS: tuple[tuple[str, ...], ...] = ((), (), (), (), ())


def _listed(
    db: sqlite3.Connection, colours: list[tuple[str, float, float, float]]
) -> list[ListedSwatch]:
    labs = {code: (L, a, b) for code, L, a, b in colours}
    days = dict(_rows(db, "SELECT name, session FROM lot"))
    told = _told(db)
    read = {code for (code,) in _rows(db, "SELECT swatch FROM measurement WHERE binned IS NULL")}
    shown: dict[str, set[str]] = defaultdict(set)
    for code, what in _rows(db, "SELECT swatch, what FROM shown"):
        shown[code].add(what)
    out = []
    for row in _rows(
        db,
        "SELECT code, number, name, lot, part, session, fibre, fibre_form, added FROM swatch "
        "WHERE binned IS NULL ORDER BY number",
    ):
        code, number, name, lot, part, session, fibre, form, added = row
        own = told.get((None, code), _NO_STEPS)
        pot = _NO_STEPS if lot is None else told.get((lot, None), _NO_STEPS)
        plants, mordants, tannins, afters, kinds = (
            a + b for a, b in zip(pot, own, strict=True)
        )  # fmt: skip
        out.append(
            ListedSwatch(
                code=code,
                number=number,
                name=name,
                lot=lot,
                part=part,
                session=session if lot is None else days.get(lot),
                fibre=fibre,
                fibre_form=form,
                added=added,
                plants=plants,
                mordants=mordants,
                tannins=tannins,
                afters=afters,
                kinds=kinds,
                lab=labs.get(code),
                read=code in read,
                shown=frozenset(shown.get(code, ())),
            )
        )
    return out


def _told(
    db: sqlite3.Connection,
) -> dict[tuple[str | None, str | None], tuple[tuple[str, ...], ...]]:
    """Of each lot and each swatch: its materials by role, and its kinds of treatment."""
    materials: dict[int, list[tuple[str, str]]] = defaultdict(list)
    for step, role, name in _rows(
        db, "SELECT step, role, name FROM material WHERE name <> 'none' ORDER BY step, position"
    ):
        materials[step].append((role, name))
    lists: dict[tuple[str | None, str | None], list[list[str]]] = {}
    for key, lot, swatch, kind in _rows(
        db, "SELECT id, lot, swatch, kind FROM step ORDER BY position"
    ):
        its = lists.setdefault((lot, swatch), [[], [], [], [], []])
        its[4].append(kind)
        for role, name in materials.get(key, ()):
            if role in _ROLES:
                its[_ROLES[role]].append(name)
    return {key: tuple(tuple(part) for part in its) for key, its in lists.items()}


def _rows(db: sqlite3.Connection, question: str) -> sqlite3.Cursor:
    """The rows of a question as plain tuples, which are made faster than named ones."""
    cursor = db.cursor()
    cursor.row_factory = None
    return cursor.execute(question)
