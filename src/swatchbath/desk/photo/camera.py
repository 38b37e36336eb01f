"""A profile of one camera under one light, from photos of a chart."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ...errors import BadValue
from ...photo import Chart, profile_camera
from ...photo.correction.chart_values import read_chart_lab
from ..text.files import check_free, write_whole
from .in_frame import parse_corners


def camera(
    charts: Iterable[str],
    *,
    light: str,
    out: str,
    chart_lab: str | None = None,
    encoding: str | None = None,
    overwrite: bool = False,
) -> dict[str, Any]:
    """Make a profile of one camera under one light from photos of a chart; plain values.

    charts : PHOTO=x,y,x,y,x,y,x,y for each, centres of patches 1, 6, 24 and 19. light : what to
    call it. out : the profile's file (JSON). Raises BadValue or PhotoRefused.
    """
    if not light.strip():
        raise BadValue("Say under which light the charts were photographed, as 'north window'.")
    labs = None if chart_lab is None else read_chart_lab(chart_lab)
    shots: list[tuple[str, Chart]] = []
    for item in charts:
        photo, sign, text = item.rpartition("=")
        if not sign or not photo:
            raise BadValue(f"'{item}' is no chart in a photo; give PHOTO=x,y,x,y,x,y,x,y.")
        shots.append((photo, Chart(parse_corners(text), lab=labs)))
    path = Path(out)
    instead = "Give another name with --out, or say --overwrite"
    check_free(path, what="the camera profile", instead=instead, ours=lambda _: overwrite)
    profile = profile_camera(shots, light=light.strip(), encoding=encoding)
    write_whole(path, profile.to_json().encode(), what="the camera profile", instead=instead)
    return {
        "file": str(path),
        "camera": profile.camera,
        "light": profile.light,
        "photos": len(shots),
        "colours": len(profile.lab),
    }
