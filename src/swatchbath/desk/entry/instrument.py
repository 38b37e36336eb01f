"""Readings by an instrument, typed in or from a table; kept under the light they were made."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

from ...colorimetry.measurement import LIGHTS, OBSERVERS, Measurement
from ...errors import BadTable, BadValue, NotFound
from ...library import STATES, Library, as_lab, read_table
from ..text.parse import parse_lab
from .came_out import all_came_out
from .row_writer import RecordAnswer, existing

_UNDER = (
    f"LIGHT/OBSERVER, such as D65/10; lights {', '.join(LIGHTS)}, observers {', '.join(OBSERVERS)}"
)


def typed_reading(lab: str, under: str | None = None) -> Measurement:
    """A reading typed as L,a,b, under a light and observer typed as D65/10 (else D65/2)."""
    light, observer = _light(under or "D65/2")
    return Measurement(parse_lab(lab), light=light, observer=observer)


def _light(under: str) -> tuple[str, str]:
    light, sign, observer = under.strip().upper().partition("/")
    if not sign or light not in LIGHTS or observer not in OBSERVERS:
        raise BadValue(f"A reading under '{under}' is not known here; give {_UNDER}.")
    return light, observer


def record_readings(library: Library | str | Path, table: str | Path) -> RecordAnswer:
    """Add an instrument's readings to swatches on record. All or nothing.

    table : columns swatch (code or name), L, a, b; state and under (D65/10 ...) where they are not
    dry and D65/2. Raises BadTable with row and column, NotFound for a swatch that is not there.
    """
    cells = read_table(table)
    called = Path(table).name
    for name in ("swatch", "L", "a", "b"):
        if name not in cells.columns:
            raise BadTable(
                f"{called} has no column '{name}'; a table of readings needs swatch, L, a, b.",
                column=name,
            )
    with ExitStack() as stack:
        lib = existing(stack, library)
        if lib is None:
            raise NotFound("There is no library yet to add readings to. Record the swatches first.")
        readings = []
        for row, c in zip(cells.index, cells.to_dict("records"), strict=True):
            state = c.get("state", "").strip() or "dry"
            try:
                if state not in STATES:
                    raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
                light, observer = _light(c.get("under", "").strip() or "D65/2")
                lab = as_lab([c["L"], c["a"], c["b"]])
                reading = Measurement(lab, light=light, observer=observer)
                readings.append((lib.swatch(c["swatch"].strip()), reading, state))
            except (BadValue, NotFound) as error:
                raise BadTable(f"Row {row} of {called}: {error}", row=row) from error
        with lib.atomic():
            for swatch, reading, state in readings:
                lib.add_measurement(swatch.code, reading, state=state)
        came = all_came_out(lib, (s.code for s, _, state in readings if state != "wet"))
    codes = {s.name or s.code: s.code for s, _, _ in readings}
    return RecordAnswer(codes, readings=len(readings), photos=0, came_out=tuple(came))
