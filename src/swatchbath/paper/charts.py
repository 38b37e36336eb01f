"""Charts as SVG text: few lines, direct labels, the real swatches as points, always a title.

The drawing has no hue of its own: the only colours are dyed ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

import numpy as np

from ..colorimetry.lab import Array, lab_to_srgb

INK, PAPER, GROUND, QUIET = "#262626", "#ebebeb", "#919191", "#5e5e5e"


def screen(lab: Any) -> str:
    """#rrggbb of a Lab colour, clipped to what a screen shows."""
    shown, _ = lab_to_srgb(lab)
    return "#{:02x}{:02x}{:02x}".format(*(int(v) for v in shown))


def svg_text(x: float, y: float, words: str, *, anchor: str = "start", turn: bool = False) -> str:
    rotated = f' transform="rotate(-90 {x:.1f} {y:.1f})"' if turn else ""
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" fill="{INK}" '
        f'font-size="13"{rotated}>{escape(words)}</text>'
    )


def frame(width: int, height: int, title: str, description: str, body: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'width="{width}" font-family="system-ui, sans-serif"><title>{escape(title)}</title>'
        f"<desc>{escape(description)}</desc>"
        f'<rect width="{width}" height="{height}" fill="#c6c6c6"/>{body}</svg>'
    )


def lightness_chart(measured: Array, predicted: Array, names: Sequence[str]) -> str:
    """Predicted against measured lightness (n, 3 each): on the line is right."""
    size, edge = 420, 52
    low = float(np.floor(min(measured[:, 0].min(), predicted[:, 0].min()) / 10) * 10)
    high = float(np.ceil(max(measured[:, 0].max(), predicted[:, 0].max()) / 10) * 10)

    def at(value: float) -> float:
        return (value - low) / max(high - low, 1) * (size - 2 * edge)

    body = [
        f'<line x1="{edge}" y1="{size - edge}" x2="{size - edge}" y2="{edge}" stroke="{INK}" '
        'stroke-width="1"/>',
        svg_text(size / 2, size - 14, "as measured: darker to lighter", anchor="middle"),
        svg_text(18, size / 2, "as expected: darker to lighter", anchor="middle", turn=True),
    ]
    for value in np.arange(low, high + 1, 20):
        body.append(svg_text(edge + at(value), size - edge + 18, f"{value:.0f}", anchor="middle"))
        body.append(svg_text(edge - 8, size - edge - at(value) + 4, f"{value:.0f}", anchor="end"))
    for lab, guess, name in zip(measured, predicted, names, strict=True):
        body.append(
            f'<rect x="{edge + at(lab[0]) - 5:.1f}" y="{size - edge - at(guess[0]) - 5:.1f}" '
            f'width="10" height="10" fill="{screen(lab)}"><title>{escape(name)}</title></rect>'
        )
    miss = float(np.median(np.abs(measured[:, 0] - predicted[:, 0])))
    return frame(
        size,
        size,
        "Lightness expected and measured",
        f"{len(measured)} swatches; half of them lie within {miss:.1f} L* of the line.",
        "".join(body),
    )


def hue_chart(measured: Array, predicted: Array, names: Sequence[str]) -> str:
    """Where each colour lies between red and green, yellow and blue; a line to the prediction."""
    size, edge = 420, 44
    both = np.concatenate([measured[:, 1:], predicted[:, 1:]])
    low = np.floor(both.min(axis=0) / 10) * 10 - 5
    span = float((np.ceil(both.max(axis=0) / 10) * 10 + 5 - low).max())

    def at(ab: Array) -> tuple[float, float]:
        x, y = (ab - low) / span * (size - 2 * edge)
        return edge + float(x), size - edge - float(y)

    body = [
        svg_text(size - 10, size - 14, "redder →", anchor="end"),
        svg_text(10, size - 14, "← greener"),
        svg_text(18, edge, "yellower →", anchor="end", turn=True),
        svg_text(18, size - edge, "← bluer", turn=True),
    ]
    zero_x, zero_y = at(np.zeros(2))
    if edge <= zero_x <= size - edge:
        body.append(axis(zero_x, edge, zero_x, size - edge))
    if edge <= zero_y <= size - edge:
        body.append(axis(edge, zero_y, size - edge, zero_y))
    for lab, guess, name in zip(measured, predicted, names, strict=True):
        (x, y), (u, v) = at(lab[1:]), at(guess[1:])
        body.append(
            f'<line x1="{x:.1f}" y1="{y:.1f}" x2="{u:.1f}" y2="{v:.1f}" stroke="{INK}" '
            f'stroke-width="1"/><rect x="{x - 5:.1f}" y="{y - 5:.1f}" width="10" height="10" '
            f'fill="{screen(lab)}"><title>{escape(name)}</title></rect>'
        )
    miss = float(np.median(np.linalg.norm(measured[:, 1:] - predicted[:, 1:], axis=1)))
    return frame(
        size,
        size,
        "Hue and strength measured, with a line to what was expected",
        f"{len(measured)} swatches; half of the lines are shorter than {miss:.1f}.",
        "".join(body),
    )


def axis(x1: float, y1: float, x2: float, y2: float) -> str:
    return (
        f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{QUIET}" '
        'stroke-width="1" stroke-dasharray="2 5"/>'
    )


def verdict_mark(verdict: str) -> str:
    """A full disc for match, two separated half discs for no match, a ring for cannot tell."""
    shape = {
        "match": f'<circle cx="20" cy="20" r="16" fill="{INK}"/>',
        "no match": (
            f'<path d="M17 4 A16 16 0 0 0 17 36 Z" fill="{INK}"/>'
            f'<path d="M23 4 A16 16 0 0 1 23 36 Z" fill="{INK}"/>'
        ),
        "cannot tell": f'<circle cx="20" cy="20" r="13" fill="none" stroke="{INK}" '
        'stroke-width="6"/>',
    }[verdict]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40" width="40" role="img">'
        f"<title>{escape(verdict)}</title>{shape}</svg>"
    )
