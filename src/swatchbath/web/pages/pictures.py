"""The pictures: her photos, and the fibre cut out of them. No metadata of the file goes out."""

from __future__ import annotations

import re

from starlette.responses import Response

from ... import desk
from ...errors import BadValue
from ..visit import Visit, get

# Long sides that are made, in pixels; others are rounded up to one of them. Our own choice.
_SIZES = (160, 320, 480, 960, 1600, 2400)
# The address holds the photo's own hash, so what it shows never changes.
_FOR_GOOD = {"Cache-Control": "private, max-age=31536000, immutable"}


def fibre(visit: Visit) -> Response:
    """A place in a photo on record: /fibre/HASH/X_Y_HALF.jpg?longest=480."""
    mark = visit.part("mark").split("_")
    if len(mark) != 3 or not all(re.fullmatch(r"\d{1,6}(\.\d{1,20})?", v) for v in mark):
        raise BadValue("A place in a photo is x, y and half, three numbers.")
    with visit.library() as library:
        place = tuple(float(v) for v in mark)
        jpeg = desk.fibre_picture(library, visit.part("photo"), place, longest=longest(visit))
    return Response(jpeg, media_type="image/jpeg", headers=_FOR_GOOD)


def photo(visit: Visit) -> Response:
    """A whole photo on record: /photo/HASH.jpg?longest=960."""
    with visit.library() as library:
        jpeg = desk.photo_picture(library, visit.part("photo"), longest=longest(visit))
    return Response(jpeg, media_type="image/jpeg", headers=_FOR_GOOD)


def longest(visit: Visit) -> int:
    asked = visit.asked("longest", "480")
    wanted = int(asked) if re.fullmatch(r"\d{1,5}", asked) else 480
    return next((size for size in _SIZES if size >= wanted), _SIZES[-1])


routes = [get("/fibre/{photo}/{mark}.jpg", fibre), get("/photo/{photo}.jpg", photo)]
