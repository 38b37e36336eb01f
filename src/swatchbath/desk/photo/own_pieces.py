"""Her own recorded swatches as they are laid in a photo: how they are named, which a sheet carries,
and what of a sheet's is not hers.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array
from ...colorimetry.words import colour_words
from ...errors import BadValue, NotEnoughSwatches, NotFound
from ...library import Library, Swatch
from ...photo.sheet.layout import OWN_PLACES
from ...photo.sheet.spread import spread_over
from ..text.wording import fibre_words, plant_words
from .places import Places

# Swatches with a colour from which the six of a sheet are chosen: twice as many, so that they can
# be spread over what she dyes.
_FEWEST = 12
_ANY_COLOUR = (50.0, 0.0, 0.0)


def own_pieces(folder: str | Path) -> tuple[list[Swatch], str]:
    """Six swatches of a library, spread over its colours, oldest first, and a sentence on how near
    they come to these. Raises NotEnoughSwatches under 12 with a colour."""
    with Library(folder) as lib:
        there = [s for s, _ in lib.find(lab=_ANY_COLOUR, k=max(len(lib), 1))]
        order = {code: i for i, code in enumerate(lib.codes())}
    there = sorted((s for s in there if s.measured is not None), key=lambda s: order[s.code])
    if len(there) < _FEWEST:
        count = {0: "none has", 1: "only one has"}.get(len(there), f"only {len(there)} have")
        raise NotEnoughSwatches(
            f"A sheet with your own yarn needs {_FEWEST} swatches with a dry colour to choose "
            f"from, and {count} one in {folder}; photograph more, or print the plain sheet without "
            "--own."
        )
    labs = np.array([to_d65_2(s.measured).lab for s in there if s.measured is not None])
    chosen = spread_over(labs, OWN_PLACES)
    return [there[i] for i in chosen], _near_words(labs, chosen)


def _near_words(labs: Array, chosen: NDArray[np.intp]) -> str:
    """How near the chosen ones of the colours (n, 3) come to all of them. Two of them may go by one
    colour word: from pale to strong is as far for a camera as from one word to another."""
    near = delta_e2000(labs[:, None], labs[None, chosen]).min(axis=1)
    return (
        f"They are spread over your {len(labs)} colours, pale to strong: half of these lie within "
        f"{np.median(near):.0f} of one of them (CIEDE2000), all within {near.max():.0f}."
    )


def as_piece(swatch: Swatch) -> dict[str, Any]:
    """A swatch as it is named to be fetched from the box, as plain values."""
    return {
        "code": swatch.code,
        "name": swatch.name,
        "dyestuff": plant_words(swatch.conditions),
        "fibre": fibre_words(swatch.conditions),
        "words": "" if swatch.measured is None else colour_words(swatch.measured.lab),
    }


def of_another_library(library: Library | None, places: Places) -> list[str]:
    """A sentence for the sheet's own yarn that cannot be gone by: its codes are not in the library,
    or have no colour there."""
    if not places.carried:
        return []
    if library is None:
        return [
            "The sheet carries yarn of a library, and none was named, so it was not gone by; name "
            "it with --library."
        ]
    out = []
    for code in places.carried:
        other = ""
        try:
            known = library.swatch(code).measured is not None
        except (NotFound, BadValue) as error:
            known, other = False, f" {error}"
        if not known:
            out.append(f"{code} has no colour in this library, so it was passed over.{other}")
    return out
