"""Find the photo sheet in a photo: the card's place, the swatches' and the bare paper's.

The four corner codes say which sheet it is and where; three are enough. The finder squares of
the codes are then placed to a fraction of a pixel, and a plane is laid through them.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from ...colorimetry.lab import Array
from ..file.read import Photo
from ..place.region import Region
from .homography import homography, inverse, project, sample
from .layout import (
    CORNERS,
    MODULES,
    VERSION,
    Box,
    Place,
    SheetLayout,
    read_corner_text,
    read_swatch_text,
    sheet_layout,
)
from .marks import cross_shows, place_finders
from .qr import Grey, SeenCode, grey_picture, read_codes, read_enlarged, sharpened

_FEWEST = 3
# The plane's misfit at the finder squares, in mm, from which the paper is said not to be flat: flat
# drawn sheets seen through a lens that bends by 0.6 % misfit by 0.02 to 0.06, sheets curled up by
# 5 mm by 0.17 (and then a place is off by up to 1 mm).
_NOT_FLAT = 0.10
# Pixels by which the plane still moves at most when it is laid through the squares no more.
_STILL = 0.1
# A swatch's or corner's code is looked for again within this much around its place, in mm.
_AROUND = 8.0
# Pixels a module when it is laid flat.
_FLAT_PIXELS = 6


@dataclass(frozen=True, eq=False)
class Sheet:
    """A photo sheet found in a photo.

    refusal : empty, or a sentence saying why its places are not known and what to do; the rest
    is then empty too. found : the corners whose codes were read. card : the part of the card's
    place that is read, or None when no card lies there. card_paper : bare paper beside it.
    swatches : {code or number of the place: the part that is read}; a place on which nothing lies
    is in `empty` instead. paper : {the same names: bare paper beside the swatch}. numbers :
    {name: number of the place}. beside : {code: the part that is read} of her own recorded yarn on
    the sheet that carries it; none of it is in `swatches`. misfit : how far the corner codes lie
    off a plane, in mm.
    matrix : (3, 3) from sheet millimetres to pixels.
    """

    refusal: str = ""
    found: tuple[str, ...] = ()
    layout: SheetLayout | None = None
    card: Region | None = None
    card_paper: tuple[Region, ...] = ()
    swatches: dict[str, Region] = field(default_factory=dict)
    paper: dict[str, tuple[Region, ...]] = field(default_factory=dict)
    numbers: dict[str, int] = field(default_factory=dict)
    empty: tuple[str, ...] = ()
    beside: dict[str, Region] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    misfit: float = 0.0
    matrix: Array | None = None


def find_sheet(photo: Photo) -> Sheet | None:
    """Look for the photo sheet; None when no corner code of it is in the photo.

    Fewer than three corner codes, or two sheets in one photo, give a Sheet with a `refusal` that
    asks for marks.
    """
    grey = grey_picture(photo.pixels)
    seen = _look(grey)
    corners = {c: k for c, k in ((c, read_corner_text(c.text)) for c in seen) if k is not None}
    if not corners:
        return None
    found = tuple(name for name in CORNERS if any(k[3] == name for k in corners.values()))
    trouble = _trouble(photo.name, list(corners.values()), found)
    if trouble:
        return Sheet(refusal=trouble, found=found)
    _, places, paper, _ = next(iter(corners.values()))
    layout = sheet_layout(places, paper)
    at = {kind[3]: code for code, kind in corners.items()}
    matrix, misfit = _plane(grey, layout, at)
    named, notes = _names(layout, inverse(matrix), _swatch_codes(grey, layout, matrix, seen))
    if misfit > _NOT_FLAT:
        notes.append(
            f"The photo sheet does not lie flat: its corners are {misfit:.1f} mm off a plane. Lay "
            "it on a flat board, or look closely at the marked places."
        )
    return _laid_out(photo, grey, layout, matrix, named, tuple(notes), found, misfit)


def _laid_out(
    photo: Photo,
    grey: Grey,
    layout: SheetLayout,
    matrix: Array,
    named: dict[str, Place],
    notes: tuple[str, ...],
    found: tuple[str, ...],
    misfit: float,
) -> Sheet:
    width, height = photo.size

    def region(box: Box) -> Region | None:
        points = project(matrix, box.corners())
        if points.min() < 0 or (points > [width - 1, height - 1]).any():
            return None
        return Region.polygon([(x, y) for x, y in points.tolist()])

    def beside(place: Place) -> tuple[Region, ...]:
        return tuple(r for r in map(region, place.paper) if r is not None)

    swatches, bare, numbers, empty, outside = {}, {}, {}, [], []
    own: dict[str, Region] = {}
    more = []
    for name, place in named.items():
        here = region(place.read)
        if here is None:
            outside.append(name)
        elif place.number <= layout.own and (why := _no_yarn(grey, matrix, place, name)):
            more.append(why)
        elif place.number <= layout.own:
            own[name], bare[name] = here, beside(place)
        elif cross_shows(grey, matrix, place):
            empty.append(name)
        else:
            swatches[name], bare[name] = here, beside(place)
            numbers[name] = place.number
    card = region(layout.card.read)
    if card is None:
        more.append("The place of the grey card lies outside the photo.")
    elif cross_shows(grey, matrix, layout.card):
        card = None
        more.append("No grey card lies on its place.")
    if outside:
        more.append(f"Outside the photo, so not read: {', '.join(outside)}.")
    return Sheet(
        found=found,
        layout=layout,
        card=card,
        card_paper=beside(layout.card),
        swatches=swatches,
        paper=bare,
        numbers=numbers,
        empty=tuple(empty),
        beside=own,
        notes=notes + tuple(more),
        misfit=misfit,
        matrix=matrix,
    )


def _no_yarn(grey: Grey, matrix: Array, place: Place, name: str) -> str:
    """Why nothing is read by a place for her own yarn; "" where it is."""
    if cross_shows(grey, matrix, place):
        called = f"of {name}" if name != str(place.number) else name
        return f"No snippet lies on the place {called}, so it was passed over."
    if name == str(place.number):
        return (
            f"The code of the snippet on place {name} could not be read, so it was passed over; "
            "keep it flat and uncovered."
        )
    return ""


def _look(grey: Grey) -> list[SeenCode]:
    """All codes, looking harder when fewer corner codes than needed are read at once."""
    seen: list[SeenCode] = []
    _add(seen, read_codes(grey))
    if _corners_in(seen) < _FEWEST:
        _add(seen, read_enlarged(grey))
    return seen


def _corners_in(seen: list[SeenCode]) -> int:
    return len({code.text for code in seen if read_corner_text(code.text)})


def _add(seen: list[SeenCode], more: list[SeenCode]) -> None:
    """Add the codes not yet seen; the same text at another place is another code."""
    for code in more:
        side = np.hypot(*(code.corners[1] - code.corners[0]))
        if not any(
            old.text == code.text and np.hypot(*(old.centre - code.centre)) < side / 2
            for old in seen
        ):
            seen.append(code)


def _trouble(name: str, kinds: list[tuple[int, int, str, str]], found: tuple[str, ...]) -> str:
    """The sentence of refusal, or nothing."""
    ask = "mark the card and the swatches yourself"
    if any(kind[0] != VERSION for kind in kinds):
        return (
            f"The photo sheet in {name} was printed by another version of this program, whose "
            f"places are not known here. Print the sheet again, or {ask}."
        )
    if len({kind[:3] for kind in kinds}) > 1 or len(kinds) > len(found):
        return (
            f"More than one photo sheet lies in {name}, so its places cannot be told apart. "
            f"Photograph one sheet at a time, or {ask}."
        )
    if len(found) < _FEWEST:
        count = ("One", "Two")[len(found) - 1]
        was = "was" if len(found) == 1 else "were"
        return (
            f"{count} of the sheet's four corner codes {was} found in {name} "
            f"({' and '.join(found)}); three are needed. Photograph again with every corner in "
            f"the picture, sharp and flat, or {ask}."
        )
    return ""


def _plane(grey: Grey, layout: SheetLayout, at: dict[str, SeenCode]) -> tuple[Array, float]:
    """(matrix, misfit in mm) from the corner codes that were read."""
    # The reader's own three good corners of each code, for a beginning.
    good = [0, 1, 3]
    source = np.concatenate([layout.corners[name].corners()[good] for name in at])
    target = np.concatenate([code.corners[good] for code in at.values()])
    matrix = homography(source, target)
    finders = np.concatenate([finder_centres(layout.corners[name]) for name in at])
    module = next(iter(layout.corners.values())).width / MODULES
    for _ in range(3):
        pixels, sure = place_finders(grey, matrix, finders, module)
        if sure.sum() < 2 * _FEWEST:
            break
        source, target = finders[sure], pixels[sure]
        before, matrix = matrix, homography(source, target)
        if np.abs(project(matrix, finders) - project(before, finders)).max() < _STILL:
            break
    back = project(inverse(matrix), target)
    return matrix, float(np.sqrt(((back - source) ** 2).sum(axis=1).mean()))


def finder_centres(box: Box) -> Array:
    """(3, 2) mm: centres of the three finder squares of a code, which are 7 modules wide
    (ISO/IEC 18004)."""
    near, far = 3.5 * box.width / MODULES, (MODULES - 3.5) * box.width / MODULES
    return np.array([[near, near], [far, near], [near, far]]) + [box.x, box.y]


def _swatch_codes(
    grey: Grey, layout: SheetLayout, matrix: Array, seen: list[SeenCode]
) -> list[SeenCode]:
    """The swatches' codes; where none was read at a place, a closer look at where it is printed."""
    codes = [code for code in seen if read_swatch_text(code.text)]
    back = inverse(matrix)
    for place in layout.swatches:
        if any(_within(place.cell, project(back, code.centre)) for code in codes):
            continue
        _add(codes, [c for c in _flat_look(grey, matrix, place) if read_swatch_text(c.text)])
    return codes


def _flat_look(grey: Grey, matrix: Array, place: Place) -> list[SeenCode]:
    """The codes around where a swatch's own code is printed, with the sheet laid flat and upright
    and enlarged."""
    box, step = place.code, place.code.width / MODULES / _FLAT_PIXELS
    size = round((box.width + 2 * _AROUND) / step)
    offsets = (np.arange(size) - (size - 1) / 2) * step
    flat = np.stack(np.meshgrid(offsets, offsets), axis=-1) + box.centre
    patch = sample(grey, project(matrix, flat))
    if np.isnan(patch).all():
        return []
    laid = np.nan_to_num(patch, nan=float(np.nanmedian(patch))).astype(np.uint8)
    first = flat[0, 0]
    return [
        SeenCode(code.text, project(matrix, first + code.corners * step))
        for code in read_codes(laid) or read_codes(sharpened(laid, _FLAT_PIXELS / 2))
    ]


def _within(box: Box, point: Array) -> bool:
    x, y = float(point[0]), float(point[1])
    return box.x <= x <= box.x + box.width and box.y <= y <= box.y + box.height


def _names(
    layout: SheetLayout, back: Array, codes: list[SeenCode]
) -> tuple[dict[str, Place], list[str]]:
    """{name: place}, named by the code that lies in the place's cell, else by its number.
    back : the homography from pixels to millimetres."""
    names: dict[str, Place] = {}
    notes = []
    for place in layout.swatches:
        # (distance from where the code is printed, code), the nearest first.
        mine = sorted(
            (float(np.hypot(*(project(back, seen.centre) - place.code.centre))), code)
            for seen in codes
            if (code := read_swatch_text(seen.text))
            and _within(place.cell, project(back, seen.centre))
        )
        own = mine[0][1] if mine else ""
        others = sorted({code for _, code in mine})
        if len(others) > 1:
            notes.append(
                f"Place {place.number} has {len(others)} codes ({', '.join(others)}); {own}, "
                "nearest to where the code belongs, was taken."
            )
        if own in names:
            notes.append(
                f"The code {own} lies at two places; place {place.number} goes by its number."
            )
            own = ""
        names[own or str(place.number)] = place
    return names, notes
