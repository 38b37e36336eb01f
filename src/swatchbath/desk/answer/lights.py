"""How two swatches compare under other lights, worked out from their spectra."""

from __future__ import annotations

import re
from typing import Any

from ...colorimetry.measurement import Measurement
from ...colorimetry.spectrum import LAMPS, check_lamp
from ...errors import BadValue
from ...library import Library
from ...match import Comparison
from ...match import compare as compare_colours
from ..text.parse import Target

# A filament bulb, the tube of shops and a common LED: the three families of lamps that part pairs.
USUAL = "A,F11,LED-B3"


def under_lights(
    library: Library | None, a: Target, b: Target, result: Comparison, lamps: str
) -> tuple[dict[str, Any], ...]:
    """One answer for each light: light, called, delta_e2000, interval, verdict and a sentence.

    a, b : swatches with spectra on record; the latest dry one of each counts. result : how they
    compare otherwise. lamps : lights parted by commas. Raises BadValue.
    """
    wanted = [w for w in re.split(r"[,;\s]+", lamps.strip().upper()) if w]
    if not wanted:
        raise BadValue(f"Name one light or more: {', '.join(LAMPS)}.")
    for light in wanted:
        check_lamp(light)
    readings = [_with_spectrum(library, t) for t in (a, b)]
    for target, reading in zip((a, b), readings, strict=True):
        if reading is None:
            raise BadValue(
                f"There is no spectrum of {target.called} on record, and only a spectrum tells of "
                "other lights: add one with swatchbath record --readings, or photograph both under "
                "the lamp (--photo, --lamp PHOTO)."
            )
    by_day = _compared(readings, "D65", result)
    return tuple(_told(light, by_day, _compared(readings, light, result)) for light in wanted)


def lights_hint(library: Library | None, a: Target, b: Target) -> tuple[str, ...]:
    """A sentence where the spectra of both are on record, and other lights were not asked for."""
    if not all(_with_spectrum(library, t) for t in (a, b)):
        return ()
    return (f"Their spectra tell whether this holds by lamplight: add --lamp {USUAL}.",)


def _with_spectrum(library: Library | None, target: Target) -> Measurement | None:
    if library is None or target.code is None:
        return None
    dry = [m for state, _, m in library.swatch(target.code).measurements if state != "wet"]
    return next((m for m in reversed(dry) if m.spectrum is not None), None)


def _compared(readings: list[Any], light: str, result: Comparison) -> Comparison:
    """Both under one light, 2 degrees; their doubt is the instrument's, the same under each."""
    pair = [m.replace(lab=m.spectrum.lab(light), light="D65", observer="2") for m in readings]
    return compare_colours(
        pair[0], pair[1], tolerance=result.tolerance, level=result.level, formula=result.formula
    )


def _told(light: str, by_day: Comparison, there: Comparison) -> dict[str, Any]:
    called = LAMPS[light][1]
    # A word on the match itself, then by how much.
    if there.verdict == "match":
        words = "they match there too" if by_day.verdict == "match" else "there they match"
    elif there.verdict == "no match":
        words = "the match does not hold there" if by_day.verdict == "match" else "they differ"
    elif by_day.verdict == "match" and there.leaning == "apart":
        words = "they probably part there"
    else:
        words = "it cannot be told whether they match there"
    sentence = (
        f"Under {light} ({called}) {words}: {there.difference:.1f}, by daylight "
        f"{by_day.difference:.1f}."
    )
    kept = ("delta_e2000", "interval", "verdict")
    told = {k: v for k, v in there.as_dict().items() if k in kept}
    return {"light": light, "called": called, "sentence": sentence} | told
