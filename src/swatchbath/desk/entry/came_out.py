"""What came of a suggestion that went out with a code: asked, expected, came out, what next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import isclose
from typing import Any

from ...bath.procedure import as_done, brought_to
from ...bath.steps import FIBRE_COLUMNS, conditions_of, steps_of
from ...colorimetry.conversion import to_d65_2
from ...colorimetry.covariance import give_or_take
from ...colorimetry.difference import delta_e2000
from ...colorimetry.words import colour_words, difference_words
from ...library import Library, Swatch
from ..text.wording import chance_words, counted

# What of an idea is kept with its code.
KEPT = ("conditions", "lab", "pot_covariance", "chance_within", "words", "bath", "title",
        "brings_pH")  # fmt: skip
# A number dyed within this share of the one suggested is as suggested; our own choice, twice what a
# kitchen weighs to.
_AS_TOLD = 0.1


def came_out(library: Library, code: str) -> dict[str, Any] | None:
    """How a pot dyed on a suggestion came out by its latest dry reading, as plain values; None
    where nothing was suggested for it or no dry reading is on record."""
    said = library.suggestion(code)
    if said is None:
        return None
    swatch = library.swatch(code)
    return None if swatch.measured is None else _outcome(swatch, said)


def all_came_out(library: Library, codes: Iterable[str]) -> list[dict[str, Any]]:
    """`came_out` of some swatches, each once; those without one are left out."""
    said = library.suggestions()
    found = (came_out(library, code) for code in dict.fromkeys(codes) if code in said)
    return [told for told in found if told is not None]


def _outcome(swatch: Swatch, said: Mapping[str, Any]) -> dict[str, Any]:
    reading = swatch.measured
    assert reading is not None
    lab = to_d65_2(reading).lab
    asked, expected = said["asked"], said["lab"]
    away, off = float(delta_e2000(lab, asked["lab"])), float(delta_e2000(lab, expected))
    within = away <= said["tolerance"]
    doubt = give_or_take(reading.lab, reading.covariance, reading.degrees)
    same = is_as_told(swatch, said)
    words = [
        f"{swatch.code} was dyed on a suggestion for {asked['called']}: asked "
        f"{colour_words(asked['lab'])}, expected {said['words']}, came out {colour_words(lab)}.",
        f"It is {_than(lab, asked['lab'], 'asked')} (CIEDE2000 {away:.1f}, give or take "
        f"{doubt:.0f}), "
        + ("close enough" if within else "not close enough")
        + f" (within {said['tolerance']:g}); and {_than(lab, expected, 'expected')} ({off:.1f}).",
    ]
    if not swatch.has_bath:
        words.append("Nothing is told of its bath yet.")
    elif not same:
        words.append("It was dyed otherwise than suggested.")
    return {
        "code": swatch.code,
        "name": swatch.name,
        "asked": {"called": asked["called"], "lab": list(asked["lab"])},
        "expected": {"lab": list(expected), "words": said["words"]},
        "came_out": {"lab": lab.tolist(), "words": colour_words(lab)},
        "delta_e2000": away,
        "from_expected": off,
        "tolerance": said["tolerance"],
        "within": within,
        "chance": chance_words(said["chance_within"]),
        "as_told": same,
        "words": " ".join(words),
        "next": _next(swatch, asked["typed"], within, float(said["tolerance"])),
    }


def _than(lab: Any, other: Any, what: str) -> str:
    ways = difference_words(lab, other)
    return f"as {what}" if ways.startswith("no difference") else f"{ways} than {what}"


def _next(swatch: Swatch, shade: str, within: bool, tolerance: float) -> str:
    if not swatch.has_bath:
        return f"Next: was it dyed as suggested? swatchbath pot --codes {swatch.code}"
    if within:
        return f'Next: dye the order: swatchbath show {swatch.code} --grams "1 kg" weighs its bath'
    wanted = f"{shade} --tolerance {tolerance:g}"
    return (
        f"Next: ask again, now that this pot is on record: swatchbath suggest {wanted}; or dye "
        f"two jars side by side: swatchbath plan {wanted} --pots 1 --jars 2"
    )


def as_suggested(library: Library | None, swatch: Swatch) -> Swatch | None:
    """A swatch of which nothing is told yet, with the fibre and the steps that were suggested for
    its code; None where there was no suggestion.

    A pH that was not told with it is not known.
    """
    said = None if library is None else library.suggestion(swatch.code)
    if said is None or swatch.has_bath:
        return None
    bath = said["conditions"]
    planned = steps_of(bath)
    steps = tuple(
        replace(done, pH=brought_to(done)) for done in as_done(planned, said["brings_pH"])
    )
    fibre = {k: v for k, v in bath.items() if k in FIBRE_COLUMNS}
    return replace(swatch, steps=steps, conditions=conditions_of(steps, fibre))


def is_as_told(swatch: Swatch, said: Mapping[str, Any]) -> bool:
    """Whether a swatch was dyed as it was suggested: the same words, and numbers within a tenth.
    What either does not tell is passed over."""
    for name, told in said["conditions"].items():
        did = swatch.conditions.get(name)
        if did is None or did != did:
            if isinstance(told, str) and told != "none" and name in _WORDS:
                return False
        elif isinstance(told, str):
            if name in _WORDS and str(did).casefold() != told.casefold():
                return False
        elif "_owf" in name or name == "temperature_C":
            if not isclose(float(did), float(told), rel_tol=_AS_TOLD, abs_tol=0.05):
                return False
    return True


_WORDS = ("fibre", "mordant", "tannin", "modifier", *(
    f"dyestuff{s}" for s in ("", *(f"_{k}" for k in range(2, 10)))
))  # fmt: skip


def tally(library: Library) -> dict[str, Any]:
    """How the pots that were dyed on a suggestion came out, against the chances told with them."""
    pots = expected = close = otherwise = 0.0
    for code, said in library.suggestions().items():
        swatch = library.swatch(code)
        if swatch.measured is None or not swatch.has_bath:
            continue
        if not is_as_told(swatch, said):
            otherwise += 1
            continue
        pots, expected = pots + 1, expected + float(said["chance_within"])
        close += _outcome(swatch, said)["within"]
    words = ""
    if pots:
        about = f"about {expected:.0f}" if expected >= 0.5 else "fewer than 1"
        words = (
            f"Of {counted(int(pots), 'pot')} dyed on a suggestion {about} should have "
            f"been close enough; {close:.0f} {'was' if close == 1 else 'were'}."
        )
    if otherwise:
        words += f" {counted(int(otherwise), 'more pot')} dyed otherwise than suggested."
    return {
        "pots": int(pots),
        "expected": expected,
        "close_enough": int(close),
        "otherwise": int(otherwise),
        "words": words.strip(),
    }


def missed_before(library: Library, shade: str) -> str:
    """What to do instead of asking again where the last pot dyed on a suggestion for a shade
    missed it; "" where none did. shade : as it was typed, or the code of its swatch."""
    outcomes = [
        told
        for code, said in library.suggestions().items()
        if said["asked"]["typed"] == shade and (told := came_out(library, code)) is not None
    ]
    if not outcomes or outcomes[-1]["within"]:
        return ""
    last = outcomes[-1]
    return (
        f"{last['code']}, dyed for this shade, missed it by {last['delta_e2000']:.0f} (CIEDE2000). "
        f"Two jars side by side teach more than one pot: swatchbath plan {shade} --tolerance "
        f"{last['tolerance']:g} --pots 1 --jars 2"
    )


def typed_shade(code: str | None, lab: Iterable[float]) -> str:
    """A shade as it is typed: the code of its swatch, or its L*, a*, b*."""
    return code or ",".join(f"{v:.4g}" for v in lab)


def promise_words(said: Mapping[str, Any]) -> str:
    """A suggestion in one line, as it stands among what waits."""
    chance = chance_words(said["chance_within"])
    return (
        f"for {said['asked']['called']}: {said['words']} expected, {chance} within "
        f"{said['tolerance']:g}"
    )
