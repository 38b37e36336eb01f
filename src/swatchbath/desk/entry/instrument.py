"""Readings by an instrument, typed in or from a table; kept under the light they were made."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path

from ...colorimetry.measurement import LIGHTS, OBSERVERS, Measurement
from ...errors import BadTable, BadValue, NotFound
from ...library import STATES, Library, as_lab
from ..text.parse import parse_lab
from .came_out import all_came_out
from .readings_table import ReadingsTable, read_readings, spectra_in
from .row_writer import RecordAnswer, existing

_UNDER = (
    f"LIGHT/OBSERVER, such as D65/10; lights {', '.join(LIGHTS)}, observers {', '.join(OBSERVERS)}"
)
_FROM_SPECTRUM = "Worked out from its spectrum for D65 and the 2 degree observer (ASTM E308-15)."


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

    table : CSV, XLSX, ODS or CGATS.17 text with columns swatch (code or name; of CGATS.17
    SAMPLE_NAME, else SAMPLE_ID), and L, a, b or a spectrum (380, 390 ... nm, in percent or
    fractions); state and under (D65/10 ...) where they are not dry and D65/2. A spectrum is kept,
    with its colour under D65/2. Raises BadTable with row and column, NotFound for a swatch that is
    not there.
    """
    read = read_readings(table)
    measured = _spectral(read) if read.is_spectral else _colours(read)
    with ExitStack() as stack:
        lib = existing(stack, library)
        if lib is None:
            raise NotFound("There is no library yet to add readings to. Record the swatches first.")
        readings = []
        for (called, row, named, _), reading in zip(read.rows, measured, strict=True):
            state = named.get("state") or "dry"
            try:
                if state not in STATES:
                    raise BadValue(f"'{state}' is no state of a swatch; use {', '.join(STATES)}.")
                readings.append((lib.swatch(named["swatch"]), reading, state))
            except (BadValue, NotFound) as error:
                raise BadTable(f"{called}: {error}", row=row) from error
        with lib.atomic():
            for swatch, reading, state in readings:
                lib.add_measurement(swatch.code, reading, state=state)
        came = all_came_out(lib, (s.code for s, _, state in readings if state != "wet"))
    codes = {s.name or s.code: s.code for s, _, _ in readings}
    return RecordAnswer(codes, readings=len(readings), photos=0, came_out=tuple(came))


def _colours(table: ReadingsTable) -> list[Measurement]:
    out = []
    for called, row, named, _ in table.rows:
        try:
            light, observer = _light(named.get("under") or table.under or "D65/2")
            lab = as_lab([named["L"], named["a"], named["b"]])
            out.append(Measurement(lab, light=light, observer=observer))
        except BadValue as error:
            raise BadTable(f"{called}: {error}", row=row) from error
    return out


def _spectral(table: ReadingsTable) -> list[Measurement]:
    return [Measurement(s.lab(), spectrum=s, notes=(_FROM_SPECTRUM,)) for s in spectra_in(table)]
