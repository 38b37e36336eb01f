"""Templates filled in, always escaped: those of reports, and what other pages share with them."""

from __future__ import annotations

import base64
from functools import cache
from typing import Any

from .patch import patch_colours


@cache
def environment(*packages: str) -> Any:
    """A jinja2 environment that finds templates of these packages first, then of this one.

    Filters: colours (a Lab as a browser is told of it), picture (a JPEG as data), drawn (SVG or
    HTML of our own making, put in as it is). Test: is_picture (bytes, and no Lab).
    """
    import jinja2
    from markupsafe import Markup

    loaders = [jinja2.PackageLoader(name) for name in (*packages, "swatchbath.paper")]
    found = jinja2.Environment(
        loader=jinja2.ChoiceLoader(loaders),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters.update(
        colours=patch_colours,
        picture=lambda jpeg: f"data:image/jpeg;base64,{base64.b64encode(jpeg).decode('ascii')}",
        drawn=Markup,
    )
    found.tests["is_picture"] = lambda value: isinstance(value, bytes)
    return found
