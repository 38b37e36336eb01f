"""A file of an instrument's readings, colours or spectra: CSV, a spreadsheet, or CGATS.17 text."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ...colorimetry.spectrum import Spectrum, spectrum_of
from ...errors import BadTable, BadValue
from ...library import read_table
from ...photo.file.reference_table import folded, is_cgats, read_reference_table

# What a column may be called, folded as `folded` does; the first that is there is taken. An
# instrument numbers its readings (SAMPLE_ID) and keeps what she typed beside (SAMPLE_NAME).
_NAMES = {
    "swatch": ("swatch", "code", "samplename", "name", "sampleid", "id"),
    "L": ("l", "labl"),
    "a": ("a", "laba"),
    "b": ("b", "labb"),
    "state": ("state",),
    "under": ("under",),
    "scale": ("scale",),
}
# One wavelength as instruments head it: 380, 380 nm, R380, SPECTRAL_NM380, SPEC_380.
_WAVELENGTH = re.compile(
    r"(?:spectral|spectrum|spec|refl|reflectance|r)?(?:nm|pct|dec)?(\d{3,4}(?:\.\d+)?)(?:nm)?"
)
# The other way of CGATS.17: a wavelength and its value in turn.
_IN_TURN = {"spectralpct": "percent", "spectraldec": "fraction"}
_SCALES = {"percent": 100.0, "fraction": 1.0}
# Reflectances all under the first are fractions, one over the second tells of percent: what
# fluoresces stays under 1.2 of white, and no swatch is so dark that all of it reads under 3 %
# (L* 20). Our own choice.
_FRACTIONS_UNDER, _PERCENT_OVER = 1.2, 3.0


@dataclass(frozen=True)
class ReadingsTable:
    """A file's rows. rows : (as it is called, "Row 3", its number, cells by `_NAMES`, numbers by
    wavelength as they stand there); under : what the file's head says, such as D50/2, or ""."""

    file: str
    rows: tuple[tuple[str, int, Mapping[str, str], Mapping[float, str]], ...]
    under: str
    is_spectral: bool


def read_readings(table: str | Path) -> ReadingsTable:
    """Read such a file. Raises NotFound, BadTable with row and column."""
    path = Path(table)
    under, word = "", "Row"
    if is_cgats(path):
        text = read_reference_table(path, what="the readings")
        columns, word = text.columns, "Line"
        if text.light and text.observer:
            under = f"{text.light}/{text.observer}"
        rows = text.rows
        for number, cells in rows:
            if len(cells) != len(columns):
                raise BadTable(
                    f"Line {number} of {path.name} has {len(cells)} cells where the heading has "
                    f"{len(columns)}.",
                    row=number,
                )
    else:
        read = read_table(path)
        columns = list(read.columns)
        rows = [(int(n), list(c)) for n, c in zip(read.index, read.to_numpy(), strict=True)]
    at = {key: _column(columns, names) for key, names in _NAMES.items()}
    waves = _wavelengths(columns, path.name)
    turns = [i for i, c in enumerate(columns[1:], 1) if folded(c) in _IN_TURN]
    wanted = ("swatch",) if waves or turns else ("swatch", "L", "a", "b")
    for name in wanted:
        if at[name] is None:
            raise BadTable(
                f"{path.name} has no column '{name}'; a table of readings needs swatch, and L, a, "
                "b or a spectrum (columns 380, 390 and so on).",
                column=name,
            )
    out = []
    for number, cells in rows:
        named = {key: cells[i].strip() for key, i in at.items() if i is not None}
        read_at = {nm: cells[i].strip() for nm, i in waves.items()}
        for i in turns:
            read_at[_number(f"{word} {number} of {path.name}", number, cells[i - 1])] = cells[i]
            named["scale"] = _IN_TURN[folded(columns[i])]
        out.append((f"{word} {number} of {path.name}", number, named, read_at))
    return ReadingsTable(path.name, tuple(out), under, bool(waves or turns))


def _column(columns: list[str], names: tuple[str, ...]) -> int | None:
    # L, a and b are told from one another by name alone, whatever their case.
    have = [folded(c) for c in columns]
    return next((have.index(n) for n in names if n in have), None)


def _wavelengths(columns: list[str], file: str) -> dict[float, int]:
    """Wavelength in nm -> its column; empty where the table holds no spectra."""
    found: dict[float, int] = {}
    for i, name in enumerate(columns):
        match = _WAVELENGTH.fullmatch(re.sub(r"[^a-z0-9.]", "", name.lower()))
        if match is None:
            continue
        nm = float(match[1])
        if nm in found:
            raise BadTable(f"{file} has two columns for {nm:g} nm; leave one out.", column=name)
        found[nm] = i
    return found


def spectra_in(table: ReadingsTable) -> list[Spectrum]:
    """The spectrum of each row of a table of spectra.

    Percent or fractions are told apart over the whole file, or by a column `scale` that says which.
    Raises BadTable with the row.
    """
    numbers = [_numbers(row) for row in table.rows]
    most = max((v for read in numbers for v in read.values()), default=0.0)
    scale = _scale(table, most)
    out = []
    for (called, row, _, _), read in zip(table.rows, numbers, strict=True):
        try:
            out.append(spectrum_of(list(read), [v / scale for v in read.values()]))
        except BadValue as error:
            raise BadTable(f"{called}: {error}", row=row) from error
    return out


def _numbers(row: tuple[str, int, Mapping[str, str], Mapping[float, str]]) -> dict[float, float]:
    called, number, _, read = row
    return {nm: _number(f"{called}, {nm:g} nm", number, cell) for nm, cell in read.items()}


def _number(where: str, row: int, cell: str) -> float:
    try:
        value = float(cell.removesuffix("%").replace(",", "."))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadTable(
            f"{where}: here stands '{cell}', which is no number; read the swatch again.", row=row
        )
    return value


def _scale(table: ReadingsTable, most: float) -> float:
    said = {named["scale"].lower() for _, _, named, _ in table.rows if named.get("scale")}
    if said:
        known = said & set(_SCALES)
        if len(said) > 1 or not known:
            raise BadTable(
                f"The column scale of {table.file} says {' and '.join(sorted(said))}; it must say "
                "percent or fraction, the same in every row.",
                column="scale",
            )
        return _SCALES[known.pop()]
    if most <= _FRACTIONS_UNDER:
        return _SCALES["fraction"]
    if most >= _PERCENT_OVER:
        return _SCALES["percent"]
    raise BadTable(
        f"The largest reflectance in {table.file} is {most:g}, which may be percent or a fraction; "
        "add a column scale that says percent or fraction in every row.",
        column="scale",
    )
