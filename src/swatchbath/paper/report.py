"""One self-contained HTML report: what is suggested, what matches, swatches as measured.

Takes plain values and returns text. Nothing in it is fetched from anywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from .charts import GROUND, INK, PAPER
from .rendering import environment
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
.side {{ display: flex; background: {GROUND}; }}
.side > * {{ flex: 1; width: 100%; height: 96px; min-width: 0; object-fit: cover; display: block; }}
.side > * + * {{ margin-left: -1px; }}
.large > * {{ height: 150px; }}
.notch {{ fill: {GROUND}; }}
.duller {{ display: block; font-style: italic; }}
.strip {{ margin: 0 0 1rem; }}
.strip .ground {{ margin-bottom: 0; }}
section > .strip:last-child {{ margin-bottom: -1.2rem; }}
.strip figcaption {{ padding: 0 0 .35rem; }}
.names {{ display: flex; margin: 0 -.4rem; font: 14px/1.35 system-ui, sans-serif; }}
.names > * {{ flex: 1; min-width: 0; padding: .3rem .4rem; overflow-wrap: anywhere; }}
.caution {{ border: 4px solid {INK}; padding: .7rem .9rem; margin: 0 0 1rem; }}
.caution p:last-child {{ margin: 0; }}
.verdict {{ display: flex; gap: .8rem; align-items: center; }}
.verdict strong {{ font-size: 1.35rem; }}
.verdict svg {{ flex: none; }}
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
    from markupsafe import Markup

    found: str = (
        environment()
        .get_template("report.html")
        .render(title=title, lead=lead, parts=parts, style=Markup(_STYLE))
    )
    return found + "\n"
