"""Patches in a row: touching, in the order of a pile, or hung on a line, as the lots of a shade.

Values in, HTML out, for a `Part` of the report. Nothing here has a hue but what was dyed.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from ..colorimetry.lab import lab_to_srgb
from .charts import INK, PAPER, screen

# Patches of 104 px touch edge to edge, three in a row on a phone (whole pixels: no hair between);
# on the line three hang beside each other there.
ROW_STYLE = f"""
.touch, .line {{ display: flex; flex-wrap: wrap; }}
.touch figure {{ flex: 0 0 104px; background: none; }}
.touch .patch {{ height: 104px; }}
.patch {{ display: block; width: 100%; position: relative; }}
.notch {{ position: absolute; right: 0; top: 0; border: 12px solid {INK};
  border-left-color: transparent; border-bottom-color: transparent; }}
.line {{ align-items: flex-start; row-gap: 1.4rem; }}
.line figure {{ flex: 0 0 min(128px, 31%); background: none; border-top: 2px solid {INK};
  padding: 0 5px; }}
.thread {{ width: 1px; height: 18px; margin: 0 auto; background: {INK}; }}
.low .thread {{ height: 84px; }}
.line .patch {{ height: 84px; }}
.line img {{ display: block; width: 100%; height: 84px; object-fit: cover; }}
.touch figcaption, .line figcaption {{ background: {PAPER}; }}
.line .piece {{ margin-right: min(28px, 4%); }}
details {{ margin: 0 0 .7rem; }}
"""


@dataclass(frozen=True)
class Hung:
    """A lot on the line. lab : its colour. jpeg : of the real fibre, or None. lines : what is
    written beneath. low : whether it hangs lower, because the shade has drifted by then."""

    lab: Sequence[float]
    jpeg: bytes | None
    title: str
    lines: Sequence[str] = ()
    low: bool = False


def touching_row(cells: Sequence[tuple[Sequence[float], str]]) -> str:
    """Patches edge to edge in their order, each with what it is called beneath."""
    shown = "".join(
        f"<figure>{_patch(lab)}<figcaption>{escape(called)}{_duller(lab)}</figcaption></figure>"
        for lab, called in cells
    )
    return f'<div class="touch">{shown}</div>'


def hung_line(piece: Hung, lots: Sequence[Hung]) -> str:
    """The kept piece at the left, and the lots beside it on a line, the oldest first."""
    shown = _hung(piece, "piece") + "".join(_hung(lot, "low" if lot.low else "") for lot in lots)
    return f'<div class="line">{shown}</div>'


def _hung(one: Hung, kind: str) -> str:
    fibre = ""
    if one.jpeg is not None:
        data = base64.b64encode(one.jpeg).decode("ascii")
        fibre = f'<img alt="the fibre" src="data:image/jpeg;base64,{data}">'
    lines = "".join(f"<br>{escape(line)}" for line in one.lines)
    return (
        f'<figure class="{kind}"><div class="thread"></div>{_patch(one.lab)}{fibre}'
        f"<figcaption><strong>{escape(one.title)}</strong>{lines}{_duller(one.lab)}"
        "</figcaption></figure>"
    )


def _patch(lab: Sequence[float]) -> str:
    notch = '<span class="notch"></span>' if lab_to_srgb(lab)[1] else ""
    return f'<div class="patch" style="background:{screen(lab)}">{notch}</div>'


def _duller(lab: Sequence[float]) -> str:
    return "<br>duller here than in life" if lab_to_srgb(lab)[1] else ""
