"""Reference values that came with a person's own 24-patch chart: CSV or CGATS.17 text."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from ...colorimetry import Measurement
from ...colorimetry.conversion import base_step, to_d65_2, white_of
from ...colorimetry.lab import WHITE_D50, WHITE_D65, Array, xyz_to_lab
from ...colorimetry.measurement import LIGHTS, OBSERVERS
from ...errors import BadTable, BadValue, SwatchbathError
from ..file.reference_table import ReferenceTable, column_of, folded, read_reference_table

_PATCHES = 24
# Names a column goes by, folded as `folded` does; the first that is there is taken.
_NUMBER = ("patch", "number", "sampleid", "sampleno", "samplename", "samplelocation", "id", "name")
_LAB = (("labl", "laba", "labb"), ("l", "a", "b"))
_XYZ = (("xyzx", "xyzy", "xyzz"), ("x", "y", "z"))
# As much of a column's name as is told, characters. Our own choice.
_LONGEST = 24
# Sense of the numbers: no surface reads outside these. A white may read a little over 100.
_RANGES = ((-0.5, 105.0), (-150.0, 150.0), (-150.0, 150.0))
# Patches 19 to 24 run from white to black; printed greys stay well under this C*. Common practice,
# no source.
_GREYS = range(19, 25)
_GREY_CHROMA = 12.0


def read_chart_lab(
    path: str | Path, *, light: str | None = None, observer: str | None = None
) -> Array:
    """Lab D65/2 (24, 3) of a chart's patches, from the values that came with it.

    path : a CSV with the columns patch (or number) and L, a, b, or a CGATS.17 text (ISO 28178) with
    LAB_L, LAB_A, LAB_B or XYZ_X, XYZ_Y, XYZ_Z. Patches go by 1 to 24, by A1 to D6 (letter = row) or
    by A1 to F4 (letter = column); patch 1 is dark skin, 19 white and 24 black.
    light, observer : what the values were read under. Where neither the file (columns light and
    observer, or a CGATS.17 header) nor the caller says, D50 and 2 degrees, as such charts are
    published; D50/2 is adapted to D65 by Bradford in XYZ, the rest as `to_d65_2` converts.

    Raises NotFound for a file that cannot be read; BadValue for a light or observer not known;
    BadTable, with the line and the column, for what does not make 24 patches.
    """
    if light is not None and light not in LIGHTS:
        raise BadValue(f"There is no light '{light}' here; it is one of {', '.join(LIGHTS)}.")
    if observer is not None and observer not in OBSERVERS:
        raise BadValue(f"There is no observer '{observer}'; it is one of {', '.join(OBSERVERS)}.")
    table = read_reference_table(Path(path))
    light = _agreed(table, table.light, light, "light", "D50")
    observer = _agreed(table, table.observer, observer, "observer", "2")
    values = _patches(table, light, observer)
    lab = np.array([_as_d65(values[n], light, observer, n, table.file) for n in sorted(values)])
    _must_be_the_chart(lab, table.file)
    return lab


def _agreed(
    table: ReferenceTable, in_file: str, requested: str | None, what: str, usual: str
) -> str:
    known = LIGHTS if what == "light" else OBSERVERS
    if in_file and in_file not in known:
        raise BadTable(
            f"{table.file} gives the {what} '{in_file}', which is not known here; it is one of "
            f"{', '.join(known)}.",
            column=what,
        )
    if in_file and requested and in_file != requested:
        raise BadTable(
            f"{table.file} says its {what} is {in_file}, but {requested} was asked for; leave it "
            "out to use the file's own.",
            column=what,
        )
    return in_file or requested or usual


def _patches(table: ReferenceTable, light: str, observer: str) -> dict[int, Array]:
    """Patch number -> Lab (3,) under the file's own light."""
    at = next((c for c in (_triple(table, s) for s in (*_LAB, *_XYZ)) if c), None)
    if at is None:
        raise BadTable(
            f"{table.file} has no columns L, a, b (or LAB_L, LAB_A, LAB_B, or XYZ_X, XYZ_Y, "
            f"XYZ_Z); it has {_told(table.columns)}."
        )
    is_xyz = folded(table.columns[at[0]]).endswith("x")
    read: list[tuple[int, list[str], Array]] = []
    for line, cells in table.rows:
        if len(cells) != len(table.columns):
            raise BadTable(
                f"Line {line} of {table.file} has {len(cells)} cells where the heading has "
                f"{len(table.columns)}.",
                row=line,
            )
        numbers = [_number(table, line, c, cells[c]) for c in at]
        read.append((line, cells, np.array(numbers)))
    if is_xyz and read:
        # Y of white is 100 in CGATS.17, 1 elsewhere; a chart's white patch tells which.
        scale = 100 if max(v[1] for _, _, v in read) > 2 else 1
        white = _white(light, observer)
        read = [(n, c, xyz_to_lab(v / scale, white)) for n, c, v in read]
    found: dict[int, Array] = {}
    for (line, _, values), patch in zip(read, _numbering(table), strict=True):
        for value, c, (low, high) in zip(values, at, _RANGES, strict=True):
            if not low <= value <= high:
                raise BadTable(
                    f"Line {line} of {table.file}, column {table.columns[c]}: this gives "
                    f"L*, a*, b* of {', '.join(f'{v:.1f}' for v in values)}, which no patch has.",
                    row=line, column=table.columns[c],
                )  # fmt: skip
        if patch in found:
            raise BadTable(f"Line {line} of {table.file} gives patch {patch} again.", row=line)
        found[patch] = values
    absent = sorted(set(range(1, _PATCHES + 1)) - set(found))
    if absent:
        raise BadTable(
            f"{table.file} has {len(found)} of the chart's 24 patches; patch {absent[0]} is "
            "missing."
        )
    return found


def _triple(table: ReferenceTable, names: tuple[str, ...]) -> list[int] | None:
    at = [column_of(table, (n,)) for n in names]
    return None if None in at else [a for a in at if a is not None]


def _told(columns: list[str]) -> str:
    """The first of a table's columns in one line; a cell of a damaged file may hold all of it."""
    return ", ".join(" ".join(c.split())[:_LONGEST] for c in columns[:12])


def _number(table: ReferenceTable, line: int, column: int, cell: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        value = np.nan
    if not np.isfinite(value):
        raise BadTable(
            f"Line {line} of {table.file}, column {table.columns[column]}: '{cell}' is not a "
            "number.",
            row=line, column=table.columns[column],
        )  # fmt: skip
    return value


def _numbering(table: ReferenceTable) -> list[int]:
    """Patch number, 1 to 24, of each row, from the first column that names every patch."""
    names = [folded(c) for c in table.columns]
    tried = [names.index(n) for n in _NUMBER if n in names]
    if not tried:
        raise BadTable(
            f"{table.file} has no column that numbers the patches; add one called patch, from 1 "
            "(dark skin) to 24 (black)."
        )
    bad: tuple[int, int, str] | None = None
    for column in tried:
        names = [cells[column].upper() for _, cells in table.rows]
        # Letters run over the columns of the chart where there are more of them than rows.
        by_column = any(re.fullmatch(r"[EF]0?[1-4]", n) for n in names)
        numbers = [_patch_number(n, by_column=by_column) for n in names]
        if None not in numbers:
            return [n for n in numbers if n is not None]
        if bad is None:
            line, cells = table.rows[numbers.index(None)]
            bad = line, column, cells[column]
    assert bad is not None
    line, column, cell = bad
    raise BadTable(
        f"Line {line} of {table.file}, column {table.columns[column]}: '{cell}' is no patch of a "
        "24-patch chart; patches are 1 to 24 or A1 to D6.",
        row=line, column=table.columns[column],
    )  # fmt: skip


def _patch_number(name: str, *, by_column: bool) -> int | None:
    if re.fullmatch(r"0*([1-9]|1\d|2[0-4])", name):
        return int(name)
    letters = re.fullmatch(r"([A-F])0?([1-4])" if by_column else r"([A-D])0?([1-6])", name)
    if not letters:
        return None
    letter, number = ord(letters[1]) - ord("A"), int(letters[2])
    return (number - 1) * 6 + letter + 1 if by_column else letter * 6 + number


def _white(light: str, observer: str) -> Array:
    known = {("D50", "2"): WHITE_D50, ("D65", "2"): WHITE_D65}
    return known[light, observer] if (light, observer) in known else white_of(light, observer)


def _as_d65(lab: Array, light: str, observer: str, patch: int, file: str) -> Array:
    if (light, observer) == ("D50", "2"):
        # As the published values are (see `card`), so that own and published agree.
        return base_step(lab, WHITE_D50)
    try:
        return to_d65_2(Measurement(lab, light=light, observer=observer)).lab
    except SwatchbathError as error:
        raise BadTable(f"Patch {patch} of {file}: {error}") from error


def _must_be_the_chart(lab: Array, file: str) -> None:
    for patch in _GREYS:
        chroma = float(np.hypot(*lab[patch - 1, 1:]))
        if chroma > _GREY_CHROMA:
            raise BadTable(
                f"Patch {patch} of {file} is not grey (C* {chroma:.0f}); patches 19 to 24 are the "
                "greys from white to black. Number the patches from dark skin."
            )
    for patch in list(_GREYS)[1:]:
        if lab[patch - 1, 0] >= lab[patch - 2, 0]:
            raise BadTable(
                f"Patch {patch} of {file} is not darker than patch {patch - 1}; patches 19 to 24 "
                "run from white to black. Number the patches from dark skin."
            )
