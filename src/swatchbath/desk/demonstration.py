"""The whole job on the sample house: measure, record, learn, suggest, compare, report."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from ..errors import BadValue, LibraryError
from ..library import Library, Swatch
from ..paper import Part, ReportPicture, hue_chart, lightness_chart, report, verdict_mark
from ..sample import sample_folder
from .answer.compare import compare
from .answer.learn import LibraryModel, learn
from .answer.suggest import SuggestAnswer, suggest
from .entry.row_writer import RecordAnswer
from .entry.table import record_table
from .photo.marks import read_marks
from .photo.measure import Progress

# What the demo's invented customer asks for (the shade of a wool swatch, on silk), and the two lots
# the sample's story is about: one recipe, dyed twice, that came out different.
WISH = "22a"
WISH_LIMIT = ("fibre=silk",)
TOLERANCE = 3.0
LOTS = ("20a", "21a")


@dataclass(frozen=True)
class DemoAnswer:
    """What the demo did: the folder it left, the report in it, and the answers as values."""

    folder: Path
    report: Path
    recorded: RecordAnswer
    learnt: LibraryModel
    suggestion: dict[str, Any]
    comparison: dict[str, Any]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "folder": str(self.folder),
            "report": str(self.report),
            "recorded": self.recorded.as_dict(),
            "left_out": self.learnt.model.cross_validation_.as_dict(),
            "suggestion": self.suggestion,
            "comparison": self.comparison,
        }


def record_sample(library: Library, *, progress: Progress | None = None) -> RecordAnswer:
    """Put the sample house on record: its photos measured, each swatch paired with its bath."""
    sample = sample_folder()
    # The same codes each time, as the guide shows them; a library in use goes on with its own.
    with suppress(LibraryError):
        library.start_codes(0)
    return record_table(
        library,
        sample / "baths.csv",
        marks=sample / "marks.csv",
        photos=sample / "photos",
        cards=sample / "cards.csv",
        progress=progress,
    )


def demo(
    folder: str | Path | None = None,
    *,
    progress: Progress | None = None,
    tell: Callable[[str, Any], None] = lambda stage, value: None,
) -> DemoAnswer:
    """Run the whole job on the sample swatches in a scratch folder.

    folder : where the library and the report are left; a new temporary folder unless given. It
    must be new or empty, so that nothing of the person's own is touched.
    tell : called after each stage with its name and its result.
    """
    sample = sample_folder()
    where = Path(folder) if folder else Path(tempfile.mkdtemp(prefix="swatchbath-demo-"))
    try:
        where.mkdir(parents=True, exist_ok=True)
        taken = any(where.iterdir())
    except OSError as error:
        raise LibraryError(f"The folder {where} cannot be used: {error.strerror}.") from error
    if taken:
        raise BadValue(f"The folder {where} is not empty. Name a new one for the demo.")
    tell("started", where)
    with Library(where / "library", create=True) as library:
        recorded = record_sample(library, progress=progress)
        tell("recorded", recorded)
        learnt = learn(library)
        tell("learnt", learnt)
        suggestion = suggest(
            library, WISH, limits=WISH_LIMIT, tolerance=TOLERANCE, k=3, learnt=learnt
        )
        payload = suggestion.as_dict()
        tell("suggestion", payload)
        comparison = compare(library, *LOTS).as_dict()
        tell("comparison", comparison)
        page = where / "report.html"
        html = _report(library, sample, recorded, learnt, suggestion, comparison)
        page.write_text(html, encoding="utf-8")
    return DemoAnswer(where, page, recorded, learnt, payload, comparison)


def _report(
    library: Library,
    sample: Path,
    recorded: RecordAnswer,
    learnt: LibraryModel,
    suggestion: SuggestAnswer,
    comparison: dict[str, Any],
) -> str:
    crops = _crops(sample, recorded)
    swatches = [library.swatch(code) for code in recorded.codes.values()]
    payload = suggestion.as_dict()
    # Cautions that concern every bath stand once, before all of them.
    common = [
        c
        for c in payload["ideas"][0]["cautions"]
        if all(c in i["cautions"] for i in payload["ideas"])
    ]
    left = learnt.model.cross_validation_
    known = np.isfinite(left.delta_e2000)
    names = [learnt.name(int(i)) for i in np.flatnonzero(known)]
    lots = [_short(library.swatch(name)) for name in LOTS]
    parts = [
        Part(
            "Which bath gives this shade",
            [
                f"Asked for: the shade of {payload['target']['called']}, dyed on wool, now on "
                f"silk, within CIEDE2000 {payload['tolerance']:g}.",
                payload["trust"],
            ],
            touching=[suggestion.target.lab.tolist()],
            cautions=common,
            parts=[
                _idea_part(n, idea, payload, common)
                for n, idea in enumerate(payload["ideas"], start=1)
            ],
        ),
        Part(
            f"Do {lots[0]} and {lots[1]} match",
            [
                f"{comparison['a']['called']} beside {comparison['b']['called']}: "
                f"{comparison['words']}.",
                f"CIEDE2000 {comparison['delta_e2000']:.1f}; the true one lies from "
                f"{comparison['interval'][0]:.1f} to {comparison['interval'][1]:.1f}.",
                comparison["would_settle"]
                or "Both pots were dyed by one recipe; the records show what differed.",
            ],
            verdict=(
                verdict_mark(comparison["verdict"]),
                f"{comparison['verdict']} within {comparison['tolerance']:g}",
            ),
            touching=[comparison["a"]["lab"], comparison["b"]["lab"]],
            pictures=[_picture(library.swatch(name), crops) for name in LOTS],
        ),
        Part(
            "How far the model can be trusted",
            [
                f"Every lot was left out in turn, with all that shares its dye day or photo, and "
                f"its swatches guessed from the rest. {learnt.trust}",
                learnt.coverage_words,
            ],
            charts=[
                lightness_chart(learnt.labs[known], left.lab[known], names),
                hue_chart(learnt.labs[known], left.lab[known], names),
            ],
        ),
        Part(
            f"The {len(swatches)} swatches as measured",
            [
                "Left the colour as measured, right the fibre in its photo. A photo is no "
                "instrument: each colour is give or take several units, least for colours seen "
                "in one photo. Flat patches are a memory aid; the fibre and the numbers are the "
                "record.",
            ],
            pictures=[_picture(s, crops) for s in swatches if s.measurements],
        ),
    ]
    lead = [
        f"{recorded.readings} readings of {len(recorded.codes)} swatches from {recorded.photos} "
        "photos of the sample house, measured, learned from and compared just now. The house is "
        "invented and its photos are drawn.",
    ]
    return report("From swatches to a bath", lead, parts)


def _idea_part(
    number: int, idea: dict[str, Any], payload: dict[str, Any], common: list[str]
) -> Part:
    rows = [
        ("Foreseen", f"{idea['words']}, CIEDE2000 {idea['delta_e2000']:.1f} from the shade"),
        (f"Chance to be within {payload['tolerance']:g}", idea["chance"]),
        ("Interval", f"CIEDE2000 {idea['interval'][0]:.1f} to {idea['interval'][1]:.1f}"),
    ]
    rows += [("Beyond what was dyed", reason) for reason in idea["reasons"]]
    rows += [
        ("Nearest real swatch", f"{p['code']}, CIEDE2000 {p['delta_e2000']:.1f}")
        for p in idea["precedents"]
    ]
    return Part(
        f"Bath {number}",
        idea["bath"],
        cautions=[c for c in idea["cautions"] if c not in common],
        rows=rows,
        touching=_could_come_out(np.array(idea["lab"]), np.array(idea["pot_covariance"])),
    )


def _could_come_out(lab: Any, covariance: Any) -> list[Any]:
    """Five patches: the middle and four that could as well come out (one standard deviation
    along the two largest axes of doubt)."""
    values, vectors = np.linalg.eigh(covariance)
    steps = [vectors[:, i] * np.sqrt(max(values[i], 0)) for i in (2, 1)]
    around = [lab + sign * step for step in steps for sign in (-1, 1)]
    return [around[0], around[2], lab, around[3], around[1]]


def _short(swatch: Swatch) -> str:
    return swatch.name or swatch.code


def _picture(swatch: Swatch, crops: dict[tuple[str, str], bytes]) -> ReportPicture:
    state, photo, reading = swatch.measurements[-1]
    conditions = swatch.conditions
    lines = [
        f"{conditions.get('dyestuff')} on {conditions.get('fibre')}",
        f"L* {reading.lab[0]:.0f} a* {reading.lab[1]:.0f} b* {reading.lab[2]:.0f}",
    ]
    if conditions.get("modifier", "none") != "none":
        lines.append(f"then {conditions['modifier']}")
    if state == "wet":
        lines.append("wet: not learned from")
    return ReportPicture(
        reading.lab.tolist(),
        crops.get((photo or "", swatch.name or "")),
        f"{_short(swatch)} · {swatch.code}",
        lines,
    )


def _crops(sample: Path, recorded: RecordAnswer) -> dict[tuple[str, str], bytes]:
    """A small JPEG of each swatch from its photo."""
    crops = {}
    for photo, places in read_marks(sample / "marks.csv").items():
        if photo not in recorded.shots:
            continue
        with Image.open(sample / "photos" / photo) as image:
            upright = ImageOps.exif_transpose(image).convert("RGB")
        for name, place in places.swatches.items():
            left, top, right, bottom = (round(v) for v in place.bounds())
            crop = upright.crop((left, top, right, bottom))
            crop.thumbnail((140, 140))
            buffer = io.BytesIO()
            crop.save(buffer, "JPEG", quality=80)
            crops[photo, name] = buffer.getvalue()
    return crops
