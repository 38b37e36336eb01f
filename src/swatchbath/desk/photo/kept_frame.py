"""What lay in a photo, as values that are kept with it, so that it can be read anew; and back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from ...errors import BadValue
from ...library import Library
from ...photo import CameraProfile, Card, Chart, Region
from .in_frame import KnownInFrame


def frame_as_values(
    known: KnownInFrame,
    swatches: Mapping[str, Region],
    *,
    blank: str | None = None,
    beside: list[str] | None = None,
) -> dict[str, Any]:
    """As values JSON can hold. swatches : places by code, or by name where they are not on record.
    blank : the id of the photo of a blank sheet. beside : codes of those that lay beside."""
    chart, camera = known.chart, known.camera
    values = {
        "card": _card(known.card),
        "white": _card(known.white),
        "black": _card(known.black),
        "chart": None
        if chart is None
        else {
            "corners": chart.corners.tolist(),
            "lab": chart.lab.tolist(),
            "leave_out": sorted(chart.leave_out),
        },
        "known": {n: np.asarray(lab, dtype=float).tolist() for n, lab in known.known.items()},
        "camera": None if camera is None else json.loads(camera.to_json()),
        "further": [_card(c) for c in known.further],
        "paper": [_region(r) for r in known.paper],
        "blank": blank,
        "encoding": known.encoding,
        "swatches": {n: _region(r) for n, r in swatches.items()},
        "beside": beside or [],
    }
    # What is not there is left out, so that a later telling of the same photo adds to this one.
    return {n: v for n, v in values.items() if v}


def frame_from_values(
    values: Mapping[str, Any], library: Library
) -> tuple[KnownInFrame, dict[str, Region], list[str]]:
    """The reverse of `frame_as_values`: what lay there, the swatches' places, and codes of those
    that lay beside. Raises BadValue for values that are none, NotFound for a photo that is gone."""
    try:
        chart = values.get("chart")
        camera = values.get("camera")
        blank = values.get("blank")
        known = KnownInFrame(
            card=_as_card(values.get("card")),
            white=_as_card(values.get("white")),
            black=_as_card(values.get("black")),
            chart=None
            if chart is None
            else Chart(chart["corners"], lab=chart["lab"], leave_out=chart["leave_out"]),
            known=dict(values.get("known", {})),
            camera=None if camera is None else CameraProfile.from_json(json.dumps(camera)),
            further=[c for v in values.get("further", ()) if (c := _as_card(v)) is not None],
            paper=[_as_region(v) for v in values.get("paper", ())],
            blank=None if blank is None else library.photo(blank),
            encoding=values.get("encoding"),
        )
        places = {str(n): _as_region(v) for n, v in values.get("swatches", {}).items()}
        return known, places, [str(c) for c in values.get("beside", ())]
    except (KeyError, TypeError, AttributeError) as error:
        raise BadValue("What lay in the photo is not on record in a way known here.") from error


def _card(card: Card | None) -> dict[str, Any] | None:
    if card is None:
        return None
    return {"at": _region(card.region), "lab": None if card.lab is None else card.lab.tolist()}


def _as_card(values: Mapping[str, Any] | None) -> Card | None:
    return None if values is None else Card(_as_region(values["at"]), lab=values["lab"])


def _region(region: Region) -> dict[str, Any]:
    """The fields of a place that are not as usual."""
    return {
        f.name: [list(p) for p in value] if f.name == "points" else value
        for f in fields(region)
        if (value := getattr(region, f.name)) != f.default
    }


def _as_region(values: Mapping[str, Any]) -> Region:
    points = tuple((float(x), float(y)) for x, y in values.get("points", ()))
    return Region(**(dict(values) | {"points": points}))
