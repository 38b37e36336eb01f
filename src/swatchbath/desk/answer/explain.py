"""What was learnt from the library, and how far to trust it: for reading, looking at and JSON."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ...colorimetry.words import colour_words
from ...conditions.columns import column
from ...conditions.spoken import in_words
from ...errors import BadValue, LibraryError
from ...library import Library
from ...paper import Part, Strip, hue_chart, lightness_chart, report
from ...paper.effect_charts import curve_chart, matters_chart
from ...predict.explain import effects
from ...predict.explain.blanks import Blank, blanks
from ...predict.explain.confounding import ConfoundedGroup, confounded_groups
from ...predict.explain.residuals import Residual, worst_residuals
from ..entry.came_out import tally
from ..text.bath_words import bath_words
from ..text.parse import parse_limits
from ..text.shown import steps_as_dicts
from ..text.wording import plain, screen
from .learn import LibraryModel, learn

# Curves shown at the most; a curve that moves the colour by less than this (CIEDE2000) is told in
# one sentence with others. Our own choice.
_CURVES, _FLAT = 6, 1.0
# Swatches named in one sentence.
_NAMED = 6


@dataclass(frozen=True, eq=False)
class ExplainAnswer:
    """What a model of the library has learnt. `bath` is the one the curves start from."""

    learnt: LibraryModel
    names: dict[str, str]
    matters: tuple[effects.Matters, ...]
    usual_error: float
    bath: dict[str, Any]
    curves: tuple[effects.Curve, ...]
    misses: tuple[Residual, ...]
    together: tuple[ConfoundedGroup, ...]
    tally: dict[str, Any]
    blanks: tuple[Blank, ...] = ()

    def called(self, row: int) -> str:
        """A row's swatch, by code and name."""
        code = self.learnt.name(row)
        name = self.names.get(code)
        return f"{code} ({name})" if name else code

    def _of_blank(self, blank: Blank) -> dict[str, Any]:
        """The swatches that a number is blank for, and what filling it in gains, in a sentence."""
        codes = list(dict.fromkeys(self.learnt.name(r) for r in blank.rows))
        called = list(dict.fromkeys(self.called(r) for r in blank.rows))
        first = ", ".join(called[:_NAMED]) + (" ..." if len(codes) > _NAMED else "")
        label = blank.label[0].upper() + blank.label[1:]
        gain = (
            f"filled in, a bath like theirs would be expected give or take {blank.after:.1f} "
            f"instead of {blank.before:.1f}"
            if blank.worth
            else "filling it in would gain little"
        )
        many = "1 swatch" if len(codes) == 1 else f"{len(codes)} swatches"
        return {
            "codes": codes,
            "sentence": f"{label} is blank for {many} ({first}): {gain} (CIEDE2000)."
            if blank.worth
            else f"{label} is blank for {many} ({first}): {gain}.",
        }

    @property
    def questions(self) -> tuple[str, ...]:
        """Cells that look wrong, each as a question that names its swatch."""
        questions = [
            s for s in self.learnt.model.notes_ if s.startswith("Row ") and s.endswith("?")
        ]
        return tuple(
            dict.fromkeys(in_words(re.sub(r"^Row (\d+)", self._swatch, s)) for s in questions)
        )

    def _swatch(self, found: re.Match[str]) -> str:
        return f"Swatch {self.called(int(found[1]) - 2)}"

    @property
    def notes(self) -> tuple[str, ...]:
        """What was left out or could not be checked."""
        return tuple(s for s in self.learnt.model.notes_ if not s.startswith("Row "))

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        model, labs = self.learnt.model, self.learnt.labs
        left = model.cross_validation_
        known = np.flatnonzero(np.isfinite(left.delta_e2000))
        return {
            "meta": model.meta_,
            "trust": self.learnt.trust,
            "issues": list(self.learnt.issues),
            "held": self.learnt.coverage_words,
            "tally": dict(self.tally),
            "left_out": left.as_dict(),
            "notes": list(self.notes),
            "usual_error": self.usual_error,
            "matters": [m.as_dict() for m in self.matters],
            "bath": {"conditions": plain(self.bath), "words": bath_words(self.bath)}
            | {"steps": steps_as_dicts(self.bath)},
            "curves": [
                c.as_dict() | {"screens": [screen(x)["screen"] for x in c.lab]} for c in self.curves
            ],
            "misses": [
                m.as_dict()
                | {
                    "code": self.learnt.name(m.row),
                    "name": self.names.get(self.learnt.name(m.row)),
                    "measured_words": colour_words(m.measured),
                    "foreseen_words": colour_words(m.predicted),
                }
                for m in self.misses
            ],
            "together": [t.as_dict() for t in self.together],
            "questions": list(self.questions),
            "blanks": [b.as_dict() | self._of_blank(b) for b in self.blanks],
            "foreseen": [
                {
                    "code": self.learnt.name(int(i)),
                    "name": self.names.get(self.learnt.name(int(i))),
                    "measured": labs[i].tolist(),
                    "foreseen": left.lab[i].tolist(),
                    "delta_e2000": float(left.delta_e2000[i]),
                }
                for i in known
            ],
        }


def explain(
    library: Library, *, limits: Iterable[str] = (), learnt: LibraryModel | None = None
) -> ExplainAnswer:
    """What the model of a library has learnt: what matters, how colours answer, what it misses
    and why, and what the record cannot tell apart.

    limits : which swatches the response curves are about, such as fibre=wool. Raises BadValue
    where none is left; NotEnoughSwatches under 12 usable swatches.
    """
    request = parse_limits(limits)
    learnt = learnt or learn(library)
    model = learnt.model
    rows = effects.rows_within(model.fit_, request)
    if not len(rows):
        raise BadValue("No swatch on record keeps to these limits; widen them.")
    bath = effects.typical_bath(model.fit_, rows)
    matters, usual = effects.what_matters(model.fit_)
    codes = {str(c) for c in learnt.conditions["swatch"]}
    names = {code: name for code in codes if (name := library.swatch(code).name)}
    return ExplainAnswer(
        learnt,
        names,
        tuple(matters),
        usual,
        bath,
        tuple(effects.curves(model.fit_, bath, rows)[:_CURVES]),
        tuple(worst_residuals(model.fit_)),
        tuple(confounded_groups(model.fit_)),
        tally(library),
        tuple(blanks(model.fit_)),
    )


def matters_words(matter: dict[str, Any]) -> str:
    """One condition in a sentence."""
    if not matter["seen"]:
        return f"{matter['condition']}: no more than chance could do"
    more, give_or_take = matter["increase"], matter["give_or_take"]
    return f"{matter['condition']}: missed by {more:.1f} more, give or take {give_or_take:.1f}"


def curve_words(curve: dict[str, Any]) -> str:
    """One response in a sentence."""
    about = column(curve["column"])
    unit = f" {curve['unit']}" if curve["unit"] else ""
    low, high = curve["values"][0], curve["values"][-1]
    label = curve["column"] if about is None else about.help.split(",")[0].rstrip(".")
    label = label[0].lower() + label[1:] if not label.startswith("pH") else label
    gap = float(np.linalg.norm(np.array(curve["lab"][-1]) - np.array(curve["lab"][0])))
    way = curve["words"] if gap >= _FLAT else "hardly a change"
    return f"{label}, from {low:.3g} to {high:.3g}{unit}: {way}"


def explanation_parts(found: ExplainAnswer) -> tuple[list[str], list[Part]]:
    """What is told, to lead with and in parts: text, charts, the same numbers as in JSON."""
    payload = found.as_dict()
    model, labs = found.learnt.model, found.learnt.labs
    known = np.flatnonzero(np.isfinite(model.cross_validation_.delta_e2000))
    names = [found.called(int(i)) for i in known]
    parts = [
        Part(
            "What matters most",
            [
                "Each condition was hidden in turn, the rest learnt from anew, and every lot "
                f"guessed without it. With nothing hidden a swatch is missed by "
                f"{found.usual_error:.1f} on average (CIEDE2000).",
            ],
            rows=[
                (m["condition"], matters_words(m).partition(": ")[2]) for m in payload["matters"]
            ],
            charts=[
                matters_chart([(m.condition, m.increase, m.uncertainty) for m in found.matters])
            ]
            if found.matters
            else [],
        ),
        Part(
            "How the colour answers",
            [
                "From this bath, one number at a time: " + " ".join(payload["bath"]["words"]),
                "The line is what is expected, the light band where 9 in 10 pots would lie; "
                "ticks stand at the values on record.",
                *(curve_words(c) + "." for c in payload["curves"]),
            ],
            charts=[
                curve_chart(
                    curve_words(t).partition(", from")[0],
                    c.unit,
                    c.values,
                    c.lab,
                    c.low,
                    c.high,
                    c.recorded,
                )
                for c, t in zip(found.curves, payload["curves"], strict=True)
            ],
        ),
        Part(
            "Expected and measured, each lot left out",
            [found.learnt.trust, found.learnt.coverage_words],
            charts=[
                lightness_chart(labs[known], model.cross_validation_.lab[known], names),
                hue_chart(labs[known], model.cross_validation_.lab[known], names),
            ]
            if len(known)
            else [],
        ),
        Part(
            "The worst misses",
            ["Each beside what was expected without its lot."],
            parts=[
                Part(
                    found.called(m.row),
                    [f"Off by {m.delta_e2000:.0f} (CIEDE2000): it is {m.words}.", *m.reasons],
                    strips=[
                        Strip([m.measured.tolist(), m.predicted.tolist()], ["measured", "expected"])
                    ],
                )
                for m in found.misses
            ],
        ),
        Part(
            "What your record cannot tell apart",
            [t.sentence for t in found.together] or ["Nothing was always together."],
        ),
    ]
    if payload["blanks"]:
        parts.append(Part("What is blank", [b["sentence"] for b in payload["blanks"]]))
    if found.questions:
        parts.append(Part("Look at these again", list(found.questions)))
    words = found.tally["words"]
    return [found.learnt.trust, *([words] if words else []), *found.notes], parts


def write_explanation(found: ExplainAnswer, path: str | Path) -> Path:
    """Write it as a page that needs nothing else."""
    page = report("What your swatches teach", *explanation_parts(found))
    where = Path(path)
    try:
        where.write_text(page, encoding="utf-8")
    except OSError as error:
        raise LibraryError(f"The page {where} cannot be written: {error.strerror}.") from error
    return where
