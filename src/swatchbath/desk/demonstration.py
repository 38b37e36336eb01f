"""The whole job on the sample house: measure, record, learn, suggest, compare, report."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image, ImageOps

from ..colorimetry.lab import Array
from ..errors import BadValue, LibraryError
from ..library import Library, Swatch
from ..paper import Part, ReportPicture, Strip, hue_chart, lightness_chart, report, verdict_mark
from ..sample import sample_folder
from .answer.compare import compare
from .answer.learn import LibraryModel, learn
from .answer.suggest import SuggestAnswer, suggest
from .entry.row_writer import RecordAnswer
from .entry.table import record_table
from .photo.marks import read_marks
from .photo.measure import Progress

# What the demo's invented customer asks for: the shade of a wool swatch, on silk, as near as a
# customer takes for the same shade; and pairs of swatches, each with what it is about.
WISH = "01a"
WISH_LIMIT = ("fibre=silk",)
TOLERANCE = 4.0
PAIRS = {
    ("24a", "25a"): "walnut hull at two strengths",
    ("20a", "21a"): "one recipe, dyed on two days",
    ("24b", "24c"): "one pot, after-baths of iron and of ash lye",
}
REPORT = "report.html"
# Patches of what could come out, in standard deviations along the largest axis of doubt: the
# middle and four that 2 in 3 pots lie between. Our own choice.
_COULD = (-1.0, -0.5, 0.0, 0.5, 1.0)


@dataclass(frozen=True)
class DemoAnswer:
    """What the demo did: the folder it left, the report in it, and the answers as values."""

    folder: Path
    report: Path
    recorded: RecordAnswer
    learnt: LibraryModel
    suggestion: dict[str, Any]
    comparisons: tuple[dict[str, Any], ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "folder": str(self.folder),
            "report": str(self.report),
            "recorded": self.recorded.as_dict(),
            "left_out": self.learnt.model.cross_validation_.as_dict(),
            "suggestion": self.suggestion,
            "comparison": self.comparisons[0],
            "comparisons": list(self.comparisons),
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
    tell("started", where / REPORT)
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
        comparisons = []
        for pair, about in PAIRS.items():
            found = compare(library, *pair, tolerance=TOLERANCE).as_dict()
            comparisons.append(found | {"about": about})
            tell("comparison", comparisons[-1])
        page = where / REPORT
        html = _report(library, sample, recorded, learnt, suggestion, comparisons)
        page.write_text(html, encoding="utf-8")
    return DemoAnswer(where, page, recorded, learnt, payload, tuple(comparisons))


def _report(
    library: Library,
    sample: Path,
    recorded: RecordAnswer,
    learnt: LibraryModel,
    suggestion: SuggestAnswer,
    comparisons: Sequence[dict[str, Any]],
) -> str:
    crops = _crops(sample, recorded)
    swatches = [library.swatch(code) for code in recorded.codes.values()]
    payload = suggestion.as_dict()
    asked, said = library.swatch(WISH), set[str]()
    left = learnt.model.cross_validation_
    known = np.isfinite(left.delta_e2000)
    names = [learnt.name(int(i)) for i in np.flatnonzero(known)]
    parts = [
        Part(
            f"{_short(asked)}, which is {asked.conditions['dyestuff']} on "
            f"{asked.conditions['fibre']}: the same shade on silk",
            parts=[
                _idea_part(n, idea, suggestion, payload, (library, crops), said)
                for n, idea in enumerate(payload["ideas"], start=1)
            ],
        ),
        *(_pair_part(found, library, crops) for found in comparisons),
        Part(
            "How far to trust it",
            [
                "Every lot was left out in turn, with all that shares its dye day or photo, and "
                f"guessed from the rest. {learnt.trust}",
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
                f"{recorded.readings} readings of {len(recorded.codes)} swatches from "
                f"{recorded.photos} photos, measured, learned from and compared just now.",
            ],
            pictures=[_picture(s, crops) for s in swatches if s.measurements],
        ),
    ]
    return report(
        "From swatches to a bath", ["An invented dye house; its photos are drawn."], parts
    )


def _idea_part(
    number: int,
    idea: dict[str, Any],
    answer: SuggestAnswer,
    payload: dict[str, Any],
    known: tuple[Library, Mapping[tuple[str, str], bytes]],
    said: set[str],
) -> Part:
    """One suggested bath: the shade asked for, the colour expected and the nearest real fibre
    touching, then what else could come out. said : the cautions that stand already."""
    library, crops = known
    near = library.swatch(idea["precedents"][0]["code"])
    _, photo, _ = near.measurements[-1]
    fibre = crops.get((photo or "", near.name or ""))
    real = [] if fibre is None else [fibre]
    care = [*idea["care"]["full"], idea["care"]["brief"], idea["care"]["general"]]
    new = [c for c in care if c and c not in said]
    said.update(new)
    own = f"{idea['title'][0].upper()}{idea['title'][1:]}. " if idea["title"] else ""
    weigh = ", ".join(idea["weigh"])
    rows = [(f"For {payload['grams_words']}", weigh)] if weigh else []
    rows += [("Beyond what was dyed", reason) for reason in idea["reasons"]]
    rows += [
        ("Hold beside it", f"{p['name'] or p['code']}, CIEDE2000 {p['delta_e2000']:.1f}")
        for p in idea["precedents"]
    ]
    return Part(
        f"Bath {number}",
        [f"{own}{idea['expect']} {idea['odds']}", " ".join(idea["bath_in_short"])],
        cautions=new,
        rows=rows,
        strips=[
            Strip(
                [answer.target.lab.tolist(), idea["lab"], *real],
                [
                    "asked for",
                    "expected",
                    *([f"nearest real fibre, {_short(near)}"] if real else []),
                ],
            ),
            Strip(
                _could_come_out(np.array(idea["lab"]), np.array(idea["pot_covariance"])),
                title="It could also come out like these.",
            ),
        ],
    )


def _pair_part(
    found: dict[str, Any], library: Library, crops: Mapping[tuple[str, str], bytes]
) -> Part:
    """One pair of swatches: the verdict, both touching, and what would settle it."""
    pair = [library.swatch(found[side]["code"]) for side in ("a", "b")]
    low, high = found["interval"]
    return Part(
        f"Do {_short(pair[0])} and {_short(pair[1])} match: {found['about']}",
        [
            f"{_short(pair[0])} beside {_short(pair[1])}: {found['words']}. CIEDE2000 "
            f"{found['delta_e2000']:.1f}; the true one lies from {low:.1f} to {high:.1f}.",
            *([found["would_settle"]] if found["would_settle"] else []),
        ],
        verdict=(
            verdict_mark(found["verdict"]),
            f"{found['verdict']} within {found['tolerance']:g}",
        ),
        strips=[Strip([found[side]["lab"] for side in ("a", "b")], [_short(s) for s in pair])],
        pictures=[_picture(swatch, crops) for swatch in pair],
    )


def _could_come_out(lab: Array, covariance: Array) -> list[list[float]]:
    """Five colours that could come out, from light to dark."""
    values, vectors = np.linalg.eigh(covariance)
    step = vectors[:, -1] * np.sqrt(max(float(values[-1]), 0.0))
    step = step if step[0] < 0 else -step
    return [(lab + k * step).tolist() for k in _COULD]


def _short(swatch: Swatch) -> str:
    return swatch.name or swatch.code


def _picture(swatch: Swatch, crops: Mapping[tuple[str, str], bytes]) -> ReportPicture:
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
