"""One self-contained HTML report: what is suggested, what matches, swatches as measured.

Takes plain values and returns text. Nothing in it is fetched from anywhere.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

from .charts import GROUND, INK, PAPER, screen
from .rows import ROW_STYLE

_STYLE = f"""
:root {{ color-scheme: only light; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; background: {GROUND}; color: {INK}; font: 17px/1.55 Georgia, serif; }}
main {{ max-width: 62rem; margin: 0 auto; padding: 1rem; }}
section, header {{ background: {PAPER}; padding: 1.2rem 1.4rem; margin: 0 0 1rem; }}
h1, h2 {{ line-height: 1.2; margin: 0 0 .6rem; font-weight: 600; }}
h1 {{ font-size: 1.9rem; }} h2 {{ font-size: 1.35rem; }} h3 {{ font-size: 1rem; margin: 0; }}
p {{ margin: 0 0 .7rem; max-width: 46rem; }}
small, figcaption, table, .figures {{ font: 14px/1.45 system-ui, sans-serif;
  font-variant-numeric: tabular-nums; }}
.ground {{ background: {GROUND}; padding: 1rem; margin: 0 -1.4rem 1rem; }}
.grid {{ display: grid; gap: 1rem; grid-template-columns: repeat(auto-fill, minmax(150px, 1fr)); }}
figure {{ margin: 0; background: {PAPER}; }}
figcaption {{ padding: .4rem .5rem; overflow-wrap: anywhere; }}
.pair {{ display: flex; background: {GROUND}; }}
.pair > * {{ flex: 1; height: 96px; min-width: 0; object-fit: cover; display: block; }}
.large > * {{ height: 150px; }}
.strip {{ margin: 0 0 1rem; }}
.strip .ground {{ margin-bottom: 0; }}
.strip figcaption {{ padding: 0 0 .35rem; }}
.names {{ display: flex; margin: 0 -.4rem; font: 14px/1.35 system-ui, sans-serif; }}
.names > * {{ flex: 1; min-width: 0; padding: .3rem .4rem; overflow-wrap: anywhere; }}
.caution {{ border: 4px solid {INK}; padding: .7rem .9rem; margin: 0 0 1rem; }}
.caution p:last-child {{ margin: 0; }}
.verdict {{ display: flex; gap: .8rem; align-items: center; }}
.verdict strong {{ font-size: 1.35rem; }}
.part {{ border-top: 1px solid {INK}; margin-top: 1.6rem; padding-top: 1rem; }}
.part .large > * {{ height: 96px; }}
table {{ border-collapse: collapse; }}
td, th {{ text-align: left; padding: .15rem 1.2rem .15rem 0; vertical-align: top; }}
.charts {{ display: flex; flex-wrap: wrap; gap: 1rem; background: {GROUND}; }}
.charts svg {{ max-width: 100%; height: auto; }}
{ROW_STYLE}"""


@dataclass(frozen=True)
class ReportPicture:
    """A swatch to show: its colour, a JPEG of the real fibre, and what is written beneath."""

    lab: Sequence[float]
    jpeg: bytes | None
    title: str
    lines: Sequence[str]


@dataclass(frozen=True)
class Strip:
    """Patches that touch, each a Lab or a JPEG of real fibre, with what each is under its edge;
    title : what they are together."""

    patches: Sequence[Sequence[float] | bytes]
    names: Sequence[str] = ()
    title: str = ""


@dataclass(frozen=True)
class Part:
    """A section of the report, in the order it is read: strips, what is said, cautions, then rows
    (amounts stand there), charts, pictures and further parts."""

    title: str
    paragraphs: Sequence[str] = ()
    cautions: Sequence[str] = ()
    rows: Sequence[tuple[str, str]] = ()
    pictures: Sequence[ReportPicture] = ()
    charts: Sequence[str] = ()
    verdict: tuple[str, str] | None = None  # the mark's SVG, the words
    strips: Sequence[Strip] = ()
    drawn: Sequence[str] = ()  # HTML of `rows`
    figures: Sequence[tuple[str, str]] = ()  # rows of a table one step away
    parts: Sequence[Part] = field(default_factory=tuple)


def report(title: str, lead: Sequence[str], parts: Sequence[Part]) -> str:
    """The whole page as HTML."""
    head = "".join(f"<p>{escape(p)}</p>" for p in lead)
    return (
        '<!doctype html><html lang="en-GB"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "img-src data:; style-src 'unsafe-inline'\">"
        f"<title>{escape(title)}</title><style>{_STYLE}</style></head><body><main>"
        f"<header><h1>{escape(title)}</h1>{head}</header>"
        f"{''.join(_section(p) for p in parts)}</main></body></html>\n"
    )


def _section(part: Part, level: int = 2) -> str:
    body = [f"<h{level}>{escape(part.title)}</h{level}>"]
    if part.verdict:
        mark, words = part.verdict
        body.append(f'<p class="verdict">{mark}<strong>{escape(words)}</strong></p>')
    body += [_strip(strip) for strip in part.strips]
    body += [f'<div class="ground">{html}</div>' for html in part.drawn]
    body += [f"<p>{escape(p)}</p>" for p in part.paragraphs]
    if part.cautions:
        cautions = "".join(f"<p>{escape(c)}</p>" for c in part.cautions)
        body.append(f'<div class="caution" role="note" aria-label="Cautions">{cautions}</div>')
    if part.rows:
        body.append(_table(part.rows))
    if part.figures:
        body.append(f"<details><summary>Figures</summary>{_table(part.figures)}</details>")
    if part.charts:
        body.append(f'<div class="charts">{"".join(part.charts)}</div>')
    if part.pictures:
        shown = "".join(_picture(p) for p in part.pictures)
        body.append(f'<div class="ground"><div class="grid">{shown}</div></div>')
    body += [_section(p, level + 1) for p in part.parts]
    inside = "".join(body)
    return f"<section>{inside}</section>" if level == 2 else f'<div class="part">{inside}</div>'


def _strip(strip: Strip) -> str:
    patches = "".join(
        _fibre(patch)
        if isinstance(patch, bytes)
        else f'<div style="background:{screen(patch)}"></div>'
        for patch in strip.patches
    )
    title = f"<figcaption>{escape(strip.title)}</figcaption>" if strip.title else ""
    names = "".join(f"<span>{escape(name)}</span>" for name in strip.names)
    under = f'<div class="names">{names}</div>' if names else ""
    return (
        f'<figure class="strip">{title}<div class="ground"><div class="pair large">{patches}</div>'
        f"</div>{under}</figure>"
    )


def _fibre(jpeg: bytes) -> str:
    data = base64.b64encode(jpeg).decode("ascii")
    return f'<img alt="" src="data:image/jpeg;base64,{data}">'


def _table(rows: Sequence[tuple[str, str]]) -> str:
    cells = "".join(f"<tr><th>{escape(a)}</th><td>{escape(b)}</td></tr>" for a, b in rows)
    return f"<table>{cells}</table>"


def _picture(picture: ReportPicture) -> str:
    fibre = "" if picture.jpeg is None else _fibre(picture.jpeg)
    lines = "".join(f"<br>{escape(line)}" for line in picture.lines)
    return (
        f'<figure><div class="pair"><div style="background:{screen(picture.lab)}"></div>{fibre}'
        f"</div><figcaption><strong>{escape(picture.title)}</strong>{lines}</figcaption></figure>"
    )
