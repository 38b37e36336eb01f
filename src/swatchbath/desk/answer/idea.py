"""What is said of one suggested bath: what to expect and how likely, cautions, amounts, and why."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from ...bath.care import Lived, care_of, lived_with, without_dangerous_amounts
from ...bath.cautions import cautions_for, materials_of
from ...bath.procedure import acids_and_alkalis, as_done, procedure
from ...bath.recipe import weighed_steps
from ...bath.step import Step
from ...bath.steps import steps_of
from ...colorimetry.covariance import give_or_take
from ...colorimetry.words import colour_words
from ...library import Library
from ...predict import Suggestion, Suggestions
from ..text.bath_words import bath_words
from ..text.shown import steps_as_dicts
from ..text.wording import (
    chance_words,
    expect_words,
    odds_words,
    plain,
    records,
    screen,
    share_words,
)
from .learn import LibraryModel
from .recipe import TRIAL_G, as_weighed, holds_of, litres_of, pots_needed, weighed

# A bath expected further than this from the shade (CIEDE2000) is another colour, and nothing is
# weighed for it; our own choice.
FAR_OFF = 10.0


@dataclass(frozen=True)
class Habits:
    """What a dyer's record says of how she works, for telling a bath her way.

    lived : what her dried pots called for. used : her acids and alkalis, the usual one first.
    stock : what she measures as a stock. names, steps : of the swatches held beside ideas, by code.
    """

    lived: Lived = Lived()
    used: tuple[str, ...] = ()
    stock: frozenset[str] = frozenset()
    names: Mapping[str, str | None] = field(default_factory=dict)
    steps: Mapping[str, tuple[Step, ...]] = field(default_factory=dict)


def habits_of(library: Library, ideas: Suggestions, learnt: LibraryModel) -> Habits:
    """How she works, as far as it bears on these ideas."""
    codes = sorted({learnt.name(p.row) for idea in ideas for p in idea.precedents})
    found = [library.swatch(code) for code in codes]
    stock = {
        m.name.casefold()
        for swatch in found
        for step in swatch.steps
        for m in step.materials
        if m.told and "ml" in m.told and "%" in m.told
    }
    return Habits(
        lived_in(library, learnt),
        used_in_record(learnt),
        frozenset(stock),
        {s.code: s.name for s in found},
        {s.code: s.steps for s in found},
    )


def used_in_record(learnt: LibraryModel) -> tuple[str, ...]:
    """Her acids and alkalis as she calls them, the most used first."""
    words = learnt.conditions.filter(regex="^(assist|modifier)(_[2-9])?$")
    return tuple(acids_and_alkalis(plain(row) for row in records(words)))


def lived_in(library: Library, learnt: LibraryModel) -> Lived:
    """What the dried pots of her own called for; what was brought in from a table never counts."""
    table = learnt.conditions
    rows = table[table["swatch"].isin(library.dried_by_hand())]
    # Numbers make few cautions: those of the same words and heat are looked at once.
    words = [c for c in rows.columns if rows[c].dtype.kind not in "fiu" and c not in _GROUPS]
    words += [c for c in ("temperature_C", "pH") if c in rows.columns]
    rows = rows.drop_duplicates(subset=words) if words else rows
    return lived_with(plain(row) for row in records(rows))


_GROUPS = ("swatch", "lot", "session", "photo")


def idea_title(idea: Suggestion, learnt: LibraryModel | None) -> str:
    """Where a bath comes from: "your own TCH6A, a third more weld"; "" for one of the model's."""
    if idea.of_row is None or learnt is None:
        return ""
    own = f"your own {learnt.name(idea.of_row)}"
    if idea.scaled is None:
        return own
    dyestuff = str(idea.conditions.get("dyestuff", "dyestuff"))
    return f"{own}, {share_words(idea.scaled, dyestuff)}"


def could_be(lab: Any, covariance: Any) -> list[list[float]]:
    """Four colours that could as well come out as the middle one: a standard deviation either way
    along the two directions in which least is known, the lighter of each two first; Lab (4, 3)."""
    import numpy as np

    middle = np.asarray(lab, float)
    variances, ways = np.linalg.eigh(np.asarray(covariance, float))
    out = []
    for variance, way in list(zip(variances, ways.T, strict=True))[:0:-1]:
        step = np.sqrt(max(float(variance), 0.0)) * way * (1.0 if way[0] >= 0 else -1.0)
        out += [(middle + step).tolist(), (middle - step).tolist()]
    return out


def idea_as_dict(
    idea: Suggestion,
    target_lab: Any,
    learnt: LibraryModel | None,
    habits: Habits,
    grams: float | None = None,
    holds: float | None = None,
) -> dict[str, Any]:
    """One idea as plain values, in the order it is told: bath, colour and chance; cautions; what
    to weigh; why. holds : litres of the pot it is to be dyed in."""
    grams, told = grams or TRIAL_G, as_weighed(idea.conditions)
    far = idea.delta_e2000 > FAR_OFF
    if far:
        told = {n: v for n, v in told.items() if "_owf" not in n}
    steps = as_done(steps_of(told), habits.used)
    cautions = cautions_for(idea.conditions, steps)
    care = care_of(cautions, materials_of(idea.conditions, steps), habits.lived)
    codes = [] if learnt is None else [learnt.name(p.row) for p in idea.precedents]
    like = habits.steps.get(codes[0], ()) if codes else ()
    litres = litres_of(weighed_steps(steps, grams))
    precedents = [p.as_dict() for p in idea.precedents]
    for given, code in zip(precedents, codes, strict=False):
        given |= {"code": code, "name": habits.names.get(code)}
    return {
        "title": idea_title(idea, learnt),
        "bath_in_short": bath_words(told, without_dangerous_amounts(steps)),
        "words": colour_words(idea.lab),
        "expect": expect_words(idea.lab, target_lab),
        "chance": chance_words(idea.chance_within),
        "odds": odds_words(idea.chance_within, idea.tolerance, idea.interval[1]),
        **screen(idea.lab),
        "lab": idea.lab.tolist(),
        "give_or_take": give_or_take(idea.lab, idea.pot_covariance),
        "could_be": could_be(idea.lab, idea.pot_covariance),
        "cautions": [c.sentence for c in cautions],
        "care": care.as_dict(),
        "bath": bath_words(told, steps),
        "far_off": (
            f"This is {idea.delta_e2000:.0f} from your shade, another colour, so no amounts are "
            "told for it."
            if far
            else ""
        ),
        "weigh": [] if far else weighed(steps, grams, habits.stock),
        "pots": "" if far else pots_needed(litres, holds or holds_of(told.get("vessel"))),
        "steps": steps_as_dicts(idea.conditions),
        "procedure": [
            {"kind": m.kind, "words": m.words, "hers": m.hers}
            for m in procedure(steps, told.get("fibre"), like)
        ],
        "brings_pH": list(habits.used),
        **{n: v for n, v in idea.as_dict().items() if n not in ("cautions", "lab")},
        "precedents": precedents,
    }
