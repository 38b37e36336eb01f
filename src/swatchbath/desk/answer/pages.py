"""Answers as pages that need nothing else, written whole."""

from __future__ import annotations

from pathlib import Path

from ...errors import BadValue
from ..text.files import check_free, write_whole

# How every page of ours begins (`paper.report`), by which an earlier one is known.
_OURS = b'<!doctype html><html lang="en-GB">'


def write_page(html: str, path: str | Path) -> Path:
    """Write a page; an earlier page of ours in its place is replaced. Raises BadValue."""
    where = Path(path)
    if where.suffix.lower() not in (".html", ".htm"):
        raise BadValue(f"A page is an HTML file; end '{where.name}' in .html.")
    what, instead = "the page", "Give another name with --page"
    check_free(where, what=what, instead=instead, ours=_is_page)
    write_whole(where, html.encode("utf-8"), what=what, instead=instead)
    return where


def _is_page(path: Path) -> bool:
    try:
        with open(path, "rb") as file:
            return file.read(len(_OURS)) == _OURS
    except OSError:
        return False
