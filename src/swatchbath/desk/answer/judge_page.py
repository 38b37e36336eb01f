"""A lot judged, as a page: the lots of its shade hung on a line, the kept piece at the left."""

from __future__ import annotations

from pathlib import Path

from ...library import Library
from ...paper import Part, Strip, report, verdict_mark
from ...paper.rows import Hung, hung_line
from ..photo.fibre import fibre_crops
from .judge import JudgeAnswer
from .pages import write_page


def write_judged(library: Library, found: JudgeAnswer, path: str | Path) -> Path:
    """Write it as a page that needs nothing else. Raises BadValue."""
    lots = found.history.lots
    wanted = [*found.piece.codes[:1], *(lot.swatches[0].code for lot in lots)]
    crops = fibre_crops(library, [c for c in wanted if c in set(library.codes())])
    piece = Hung(
        found.kept.lab.tolist(),
        crops.get(found.piece.codes[0]) if found.piece.codes else None,
        found.piece.name,
        ["kept piece", *([found.piece.lies] if found.piece.lies else [])],
    )
    hung = [
        Hung(
            lot.lab.tolist(),
            crops.get(lot.swatches[0].code),
            lot.called,
            [lot.point.words] if lot.point.drifts else [],
            low=lot.point.drifts,
        )
        for lot in lots
    ]
    low, high = found.result.interval
    figures = [
        (f"{found.called} beside the kept piece", f"CIEDE2000 {found.result.delta_e2000:.1f}"),
        ("The true one lies", f"from {low:.1f} to {high:.1f} (9 in 10 sure)"),
    ]
    for lot in lots:
        dL, dC, dH = lot.point.parts
        figures.append(
            (
                f"The shade by {lot.called}",
                f"dL* {dL:+.1f}, dC* {dC:+.1f}, dH* {dH:+.1f}"
                + (", the history begins anew" if lot.point.first and lot is not lots[0] else ""),
            )
        )
    parts = [] if not found.first else [Part("Before you judge", [found.first])]
    parts += [
        Part(
            f"{found.called} beside the kept piece",
            [found.tight] if found.tight else [],
            verdict=(verdict_mark(found.result.verdict), found.verdict_words),
            strips=[Strip([found.kept.lab.tolist(), found.lot.lab.tolist()])],
        ),
        Part(
            "The lots of this shade",
            [found.history.words, *found.history.leads, found.spread_words],
            drawn=[hung_line(piece, hung)],
            figures=figures,
        ),
    ]
    lead = [
        "A full disc: it matches; two half discs: it differs; a ring: that cannot be told. Of two "
        "patches that touch, the left one is the kept piece. A lot that hangs lower shows the "
        "shade drifting by then.",
    ]
    return write_page(report(found.piece.name, lead, parts), path)
