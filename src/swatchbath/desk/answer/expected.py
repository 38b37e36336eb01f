"""What a swatch was expected to come out as, and how far it did."""

from __future__ import annotations

from typing import Any

import pandas as pd

from ...colorimetry.covariance import give_or_take
from ...colorimetry.difference import delta_e2000
from ...colorimetry.words import colour_words, difference_words
from ...library import Library, Swatch
from ...predict.regression.keys import row_keys
from ...predict.regression.stored_fit import parse_fit
from ..text.wording import screen
from .learn import stored_text


def expected_of(library: Library, swatch: Swatch) -> dict[str, Any] | None:
    """What the dyer's other lots gave to expect of a swatch, and how its latest dry reading came
    out; plain values. Read from the stored fit, so nothing is learnt; None where that does not
    hold this very reading.
    """
    reading = swatch.measured
    text = None if reading is None else stored_text(library)
    stored = None if text is None else parse_fit(text)
    if stored is None or reading is None:
        return None
    groups = {"swatch": swatch.code, "lot": swatch.lot, "session": swatch.session}
    row = dict(swatch.conditions) | groups | {"photo": reading.photo}
    found = stored.left_out(row_keys(pd.DataFrame([row]), [reading])[0])
    if found is None:
        return None
    lab, covariance = found
    away, way = float(delta_e2000(reading.lab, lab)), difference_words(reading.lab, lab)
    return {
        "lab": lab.tolist(),
        "give_or_take": give_or_take(lab, covariance),
        "covariance": covariance.tolist(),
        "words": colour_words(lab),
        "delta_e2000": away,
        "came_out": f"It came out {way} (CIEDE2000 {away:.1f}).",
    } | screen(lab)
