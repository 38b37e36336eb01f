"""Charts of what was learnt: what matters, and how a colour answers to one number.

As in `charts`, the only colours are dyed ones.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

import numpy as np

from ..colorimetry.lab import Array
from .charts import INK, QUIET, axis, frame, screen, svg_text


def matters_chart(rows: Sequence[tuple[str, float, float]]) -> str:
    """Bars: condition, by how much it is missed by more when hidden (CIEDE2000), give or take."""
    left, width, line, top = 190, 560, 30, 34
    height = top + line * len(rows) + 40
    most = max([value + margin for _, value, margin in rows] + [1.0])
    scale = (width - left - 60) / most

    def at(value: float) -> float:
        return left + max(value, 0.0) * scale

    body = [svg_text(left, 22, "missed by so much more when it is hidden (CIEDE2000)")]
    for i, (name, value, margin) in enumerate(rows):
        y = top + line * i + line / 2
        body.append(svg_text(left - 10, y + 4, name, anchor="end"))
        body.append(
            f'<rect x="{left}" y="{y - 8:.1f}" width="{at(value) - left:.1f}" height="16" '
            f'fill="{QUIET}"><title>{escape(name)}: {value:.1f}</title></rect>'
        )
        low, high = at(value - margin), at(value + margin)
        if high > low:
            body.append(
                f'<line x1="{low:.1f}" y1="{y:.1f}" x2="{high:.1f}" y2="{y:.1f}" '
                f'stroke="{INK}" stroke-width="2"/>'
            )
        body.append(svg_text(high + 8, y + 4, f"{max(value, 0.0):.1f}"))
    return frame(
        width,
        height,
        "What matters most",
        "; ".join(f"{name} {max(value, 0.0):.1f}" for name, value, _ in rows),
        "".join(body),
    )


def curve_chart(
    title: str,
    unit: str,
    values: Array,
    lab: Array,
    low: Array,
    high: Array,
    recorded: Sequence[float],
) -> str:
    """L*, a*, b* against one number, in a dyer's words: lines with what a pot may give, the colours
    below, and a tick for every value on record. values (m,); lab, low, high (m, 3)."""
    width, panel, left, right = 420, 110, 92, 20
    height = 40 + 3 * panel + 84
    span = float(values[-1] - values[0]) or 1.0

    def across(value: float) -> float:
        return left + (value - float(values[0])) / span * (width - left - right)

    body = [svg_text(left, 24, title)]
    for k, name in enumerate(("lighter", "redder", "yellower")):
        top = 36 + k * panel
        body += _panel(name, values, lab[:, k], low[:, k], high[:, k], across, top, panel - 14)
    strip = 36 + 3 * panel
    edges = np.concatenate([values[:1], (values[1:] + values[:-1]) / 2, values[-1:]])
    for i, colour in enumerate(lab):
        x, end = across(float(edges[i])), across(float(edges[i + 1]))
        body.append(
            f'<rect x="{x:.1f}" y="{strip}" width="{end - x + 0.5:.1f}" height="26" '
            f'fill="{screen(colour)}"/>'
        )
    for value in recorded:
        x = across(float(value))
        body.append(
            f'<line x1="{x:.1f}" y1="{strip + 28}" x2="{x:.1f}" y2="{strip + 36}" '
            f'stroke="{INK}" stroke-width="2"/>'
        )
    ends = (values[0], (values[0] + values[-1]) / 2, values[-1])
    for value, anchor in zip(ends, ("start", "middle", "end"), strict=True):
        shown = f"{float(value):.3g}{f' {unit}' if unit else ''}"
        body.append(svg_text(across(float(value)), strip + 52, shown, anchor=anchor))
    return frame(
        width,
        height,
        title,
        f"From {values[0]:.3g} to {values[-1]:.3g} {unit}: L* {lab[0, 0]:.0f} to {lab[-1, 0]:.0f}, "
        f"a* {lab[0, 1]:.0f} to {lab[-1, 1]:.0f}, b* {lab[0, 2]:.0f} to {lab[-1, 2]:.0f}.",
        "".join(body),
    )


def _panel(
    name: str,
    values: Array,
    middle: Array,
    low: Array,
    high: Array,
    across: Callable[[float], float],
    top: float,
    height: float,
) -> list[str]:
    least, most = float(low.min()), float(high.max())
    if most - least < 10:  # a small change is not to look like a large one
        least, most = (least + most) / 2 - 5, (least + most) / 2 + 5

    def up(value: float) -> float:
        return top + height - (value - least) / (most - least) * height

    def points(heights: Array, order: Array) -> str:
        return " ".join(
            f"{across(float(v)):.1f},{up(float(h)):.1f}"
            for v, h in zip(order, heights, strict=True)
        )

    band = f"{points(high, values)} {points(low[::-1], values[::-1])}"
    out = [
        f'<polygon points="{band}" fill="#ebebeb"/>',
        f'<polyline points="{points(middle, values)}" fill="none" stroke="{INK}" '
        'stroke-width="2"/>',
        svg_text(8, top + height / 2 + 5, f"\N{UPWARDS ARROW} {name}"),
        svg_text(86, top + 12, f"{most:.0f}", anchor="end"),
        svg_text(86, top + height, f"{least:.0f}", anchor="end"),
    ]
    if least < 0 < most:
        out.append(axis(across(float(values[0])), up(0.0), across(float(values[-1])), up(0.0)))
    return out
