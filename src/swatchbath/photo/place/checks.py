"""What is looked at before a colour is believed: each check with its levels and its sentences.

Levels come from 99 real photos of a 24-patch chart by about 20 cameras, read for this project:
the error of the colour patches in CIEDE2000 is written beside each limit. Linear files were right
at a much darker card, so their card's brightness is judged more mildly.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...colorimetry.lab import Array, lab_to_xyz, xyz_to_linear_srgb
from ...colorimetry.measurement import Check, Level
from .region import RegionReading

# (fine up to, doubtful up to); beyond the second: refused.
_CLIPPED = (0.02, 0.10)  # error 6 below, 8 at 10 to 50 %, 14 above
_BRIGHTEST = (0.90, 0.98)  # mean of the strongest channel: error 7, 9 to 10, 13 to 17
_DARKEST = (0.005, 0.002)  # mean of the strongest channel of what is simply dark
_WEAKEST = 0.005  # mean of the weakest channel: error 6 above, 10 below
# Error 3.4 to 4.4 above 0.08, 8.5 below; at 0.035 to 0.043 of two cameras 5 to 8.
_CARD_TOO_DARK = (0.08, 0.02)
_CARD_TOO_BRIGHT = (0.30, 0.45)  # error 4.5 to 6.6 at 0.16 to 0.40
_CARD_TOO_DARK_LINEAR = (0.02, 0.005)  # linear files worked at 0.03 to 0.14
# ln(strongest / weakest channel): error 6 to 7, 7 to 10, over 11 for 640 x 480 pictures. Of larger
# photos at 1.7 to 2.2 times a plain gain is 0.6 to 1.7 worse than under a neutral lamp.
_CARD_CAST = (0.30, float(np.log(2.5)))
_CARD_TEXTURE = (0.04, 0.07)  # sd / mean in the card: error 7, 8 to 9, 10 to 15
# Standard deviation over the place in CIEDE2000: two colours on one skein. Evenly dyed
# textures drawn with over three strands in the place stay under 0.1, skeins of the sample, which
# vary along the yarn or show few strands, under 4.1.
_UNEVEN = 5.0
_FEW_PIXELS = 256  # 16 x 16: several strands of 3 pixels each way; common practice, no source
# Median CIEDE2000 of known colours as read with the card alone: at most 11.4 on 41 real photos of
# charts (17 on webcam photos that other gates refuse), 36 where a chart was marked mirror-wise, 39
# where names were swapped.
_UNLIKE = (14.0, 22.0)
_SPECKS = (0.15, 0.40)  # share of the place that is of another colour; common practice, no source


def _level(value: float, limits: tuple[float, float]) -> Level:
    fine, doubtful = limits
    if fine <= doubtful:
        return "fine" if value <= fine else "doubtful" if value <= doubtful else "refused"
    return "fine" if value >= fine else "doubtful" if value >= doubtful else "refused"


def _check(name: str, level: Level, fact: str, fault: str, remedy: str) -> Check:
    """A check: what was found, and, unless that is fine, what is wrong with it and what to do."""
    if level == "fine":
        return Check(name, level, f"{fact}.")
    return Check(name, level, f"{fact}{fault}.", remedy)


def check_card(
    reading: RegionReading, *, rendered: bool, card_lab: Array, by_chart: bool = False
) -> tuple[Check, ...]:
    """Judge the grey card's reading; card_lab (3,) is its own colour, so that a card darker or
    lighter than 18 %, or not quite neutral, is judged by the light on it. by_chart : a chart in
    the frame tells of the light and the camera as well, so that no cast is too much."""
    grey_rgb = xyz_to_linear_srgb(lab_to_xyz(card_lab))
    at = f"Grey card at ({reading.centre[0]:.0f}, {reading.centre[1]:.0f})"
    # Exposure relative to an 18 % card's usual reading.
    exposure = float(np.mean(reading.rgb) / np.mean(grey_rgb)) * 0.18
    ratios = np.maximum(reading.rgb, 1e-6) / grey_rgb
    cast = float(np.log(ratios.max() / ratios.min()))
    dark = _CARD_TOO_DARK if rendered else _CARD_TOO_DARK_LINEAR
    checks = [
        _check(
            "card clipped",
            _level(reading.clipped, _CLIPPED),
            f"{at}: {reading.clipped:.0%} of its pixels are clipped",
            "",
            "Photograph again with less exposure, or mark a smaller area without glare.",
        ),
        _check(
            "card too dark",
            _level(exposure, dark),
            f"{at}: it reads {exposure:.3f} of full light, where about 0.18 is right",
            "; the photo is too dark",
            "Photograph again in more light, or with more exposure.",
        ),
    ]
    if not rendered:
        checks.append(
            _check(
                "card cast",
                "fine" if cast <= _CARD_CAST[1] else "doubtful",
                f"{at}: its strongest channel is {np.exp(cast):.1f} times its weakest",
                ", as in a file that was not developed for its light and camera",
                "Develop it with the camera's own white balance, or lay a chart in the frame.",
            )
        )
    if rendered:
        checks.append(
            _check(
                "card too bright",
                _level(exposure, _CARD_TOO_BRIGHT),
                f"{at}: it reads {exposure:.2f} of full light, where about 0.18 is right",
                "; the photo is too bright",
                "Photograph again with less exposure.",
            )
        )
        checks.append(
            _check(
                "card cast",
                "doubtful" if by_chart and cast > _CARD_CAST[0] else _level(cast, _CARD_CAST),
                f"{at}: its strongest channel is {np.exp(cast):.1f} times its weakest",
                "; the light is strongly coloured, or this is not the grey card",
                "Photograph in daylight from a window, and mark the grey card itself.",
            )
        )
    checks.append(
        _check(
            "card texture",
            _level(reading.spread * min(np.sqrt(exposure / 0.18), 1.0), _CARD_TEXTURE),
            f"{at}: its brightness varies by {reading.spread:.0%} inside the mark",
            "; a card is even, so this may be glare, a shadow or the wrong thing",
            "Mark a smaller place on the card, or lay it flat and photograph again.",
        )
    )
    return tuple(checks)


def check_swatch(name: str, reading: RegionReading) -> tuple[Check, ...]:
    """Judge one swatch's reading."""
    at = f"Swatch {name} at ({reading.centre[0]:.0f}, {reading.centre[1]:.0f})"
    brightest, darkest = float(reading.rgb.max()), float(reading.rgb.min())
    strong = [name for name, low in zip(("red", "green", "blue"), reading.low, strict=True) if low]
    return (
        _check(
            "swatch clipped",
            _level(reading.clipped, _CLIPPED),
            f"{at}: {reading.clipped:.0%} of its pixels are clipped",
            "",
            "Photograph again with less exposure, or turn it so that it does not shine.",
        ),
        _check(
            "swatch too bright",
            _level(brightest, _BRIGHTEST),
            f"{at}: its strongest channel is at {brightest:.0%} of full light",
            ", so parts of it may be clipped",
            "Photograph again with less exposure.",
        ),
        _check(
            "swatch too dark",
            "refused" if len(strong) == 3 else _level(brightest, _DARKEST),
            f"{at}: its strongest channel is at {max(brightest, 0):.1%} of full light",
            ", too dark to tell its colour",
            "Photograph again in more light.",
        ),
        _check(
            "swatch too strong",
            "doubtful" if strong or 0 <= darkest < _WEAKEST else "fine",
            f"{at}: its weakest channel is at {max(darkest, 0):.1%} of full light",
            f", so of its {' and '.join(strong)} light it is only known that it is small"
            if strong
            else ", where cameras tell strong colours badly",
            "Lay two of your own swatches of like colour, or a chart, beside it.",
        ),
        _check(
            "swatch pixels",
            "fine" if reading.pixels >= _FEW_PIXELS else "doubtful",
            f"{at}: {reading.pixels} pixels were read",
            ", few for fibre",
            "Mark a larger place, or photograph from nearer.",
        ),
        _check(
            "swatch specks",
            _level(reading.specks, _SPECKS),
            f"{at}: {reading.specks:.0%} of the marked place is of another colour",
            "",
            "Mark a place that holds the swatch alone.",
        ),
    )


def check_known(what: str, off: Array, remedy: str) -> Check:
    """Judge whether things of known colour are what they are said to be. off (m,) : CIEDE2000 of
    each, as read with the card alone, from what it is known to be."""
    middle = float(np.median(off))
    return _check(
        f"{what} as known",
        _level(middle, _UNLIKE),
        f"The {what} read {middle:.0f} (CIEDE2000) from what they are said to be",
        ", so they are marked wrongly, or are not those colours",
        remedy,
    )


def check_uneven(name: str, uneven: float) -> Check:
    """Judge how evenly a swatch is dyed; never a reason to refuse it."""
    return _check(
        "swatch uneven",
        "fine" if uneven <= _UNEVEN else "doubtful",
        f"Swatch {name}: its colour varies by {uneven:.1f} (CIEDE2000) beyond its texture",
        ", so another place on it would read otherwise",
        "Mark several places on it as swatches of their own, or a larger one.",
    )


def worst(checks: Sequence[Check]) -> Level:
    """The gravest level among checks."""
    levels = {check.level for check in checks}
    return "refused" if "refused" in levels else "doubtful" if "doubtful" in levels else "fine"


def sentences(checks: Sequence[Check], level: Level) -> str:
    """The sentences and remedies of the checks at one level, as one text."""
    return " ".join(f"{c.sentence} {c.remedy}".strip() for c in checks if c.level == level)
