"""The box: all swatches in bundles by colour, plant, dye day or lot, to leaf through."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...colorimetry.difference import delta_e2000
from ...colorimetry.lab import Array, lab_to_lch
from ...colorimetry.words import FAMILIES, colour_words, difference_words, families
from ...errors import BadValue
from ...library import Library, ListedSwatch
from ..photo.fibre import FibrePlace, fibre_places
from ..text.wording import WAITS, day_words, fibre_words, waits_for

# How a box may be bundled, and what it may be narrowed to; each with its words.
BOX_BY = {"colour": "colour", "plant": "plant", "day": "dye day", "lot": "lot"}
BOX_FILTERS = {
    "fibre": "fibre",
    "plant": "plant",
    "mordant": "mordant",
    "after": "after-bath",
    "waits": "waits",
}
NOT_TOLD, NO_COLOUR = "not told", "no colour yet"
# Ways a swatch may lie from another: which of L*, a*, b* or chroma, and up or down.
BOX_WAYS = {
    "lighter": ("L", 1), "darker": ("L", -1), "redder": ("a", 1), "greener": ("a", -1),
    "yellower": ("b", 1), "bluer": ("b", -1), "clearer": ("C", 1), "greyer": ("C", -1),
}  # fmt: skip
# How far apart two may lie but for that and still be called alike, CIEDE2000. Our own choice.
_ALIKE = 8.0
# Bundles on a page, swatches of each shown there, and swatches on a page of one bundle; how far
# along a way counts, in units of CIELAB (a difference that is plainly seen). Our own choice.
_BUNDLES, _EACH, _PAGE, _PLAINLY = 20, 6, 60, 3.0


@dataclass(frozen=True)
class BoxSwatch:
    """A swatch as it lies in the box. words : its colour. under : what it is, in a line. place :
    where its fibre is seen, or None."""

    code: str
    name: str | None
    lab: tuple[float, float, float] | None
    words: str
    under: str
    place: FibrePlace | None = None


@dataclass(frozen=True)
class Bundle:
    """Swatches tied together: what they have in common, how many they are, and the first."""

    name: str
    title: str
    count: int
    swatches: tuple[BoxSwatch, ...]


@dataclass(frozen=True)
class BoxAnswer:
    """A page of the box. total : swatches on record; found : of them, those that were asked for.
    choices : by filter, the words it may be narrowed to, each with how many there are."""

    bundles: tuple[Bundle, ...]
    total: int
    found: int
    choices: Mapping[str, Sequence[tuple[str, int]]]
    page: int
    pages: int


def box(
    library: Library,
    *,
    by: str = "colour",
    words: str = "",
    only: Mapping[str, str] | None = None,
    bundle: str | None = None,
    page: int = 1,
    each: int = _EACH,
) -> BoxAnswer:
    """Her swatches in bundles. by : one of `BOX_BY`. words : only what holds all of them. only : by
    filter (`BOX_FILTERS`), the word it is narrowed to. bundle : the name of one, to see all of it.

    Raises BadValue for a way to bundle or a filter that there is not.
    """
    if by not in BOX_BY:
        raise BadValue(f"The box is not sorted by {by}; by {', '.join(BOX_BY)} it is.")
    asked = {name: word for name, word in (only or {}).items() if word}
    if unknown := set(asked) - set(BOX_FILTERS):
        raise BadValue(f"There is no filter {min(unknown)}; there are {', '.join(BOX_FILTERS)}.")
    every = library.listed()
    telling = set(library.telling(words)) if words.strip() else None
    tags = {s.code: _tags(s) for s in every}
    found = [
        s
        for s in every
        if (telling is None or s.code in telling)
        and all(word in tags[s.code][name] for name, word in asked.items())
    ]
    tied = _tied(found, by)
    if bundle is not None:
        tied = [one for one in tied if one[0] == bundle]
        inside = tied[0][2] if tied else []
        pages = max(-(-len(inside) // _PAGE), 1)
        page = min(max(page, 1), pages)
        shown = [(n, t, inside, inside[(page - 1) * _PAGE : page * _PAGE]) for n, t, _ in tied]
    else:
        pages = max(-(-len(tied) // _BUNDLES), 1)
        page = min(max(page, 1), pages)
        shown = [
            (n, t, inside, inside[:each])
            for n, t, inside in tied[(page - 1) * _BUNDLES : page * _BUNDLES]
        ]
    places = fibre_places(library, [s.code for *_, some in shown for s in some])
    return BoxAnswer(
        tuple(
            Bundle(n, t, len(all_), tuple(_in_box(s, places) for s in some))
            for n, t, all_, some in shown
        ),
        total=len(every),
        found=len(found),
        choices=_choices(tags),
        page=page,
        pages=pages,
    )


def alike(library: Library, key: str, way: str, *, k: int = 24) -> tuple[BoxSwatch, ...]:
    """Swatches like another one (by code or name) but for one way: lighter, redder ...; what is
    otherwise most alike comes first. Raises NotFound, BadValue."""
    if way not in BOX_WAYS:
        raise BadValue(f"There is no way {way}; there are {', '.join(BOX_WAYS)}.")
    code = library.swatch(key).code
    coloured = [s for s in library.listed() if s.lab is not None]
    from_ = next((s for s in coloured if s.code == code), None)
    if from_ is None:
        raise BadValue(f"No dry colour of {code} is on record yet, so none can be like it.")
    labs = np.array([s.lab for s in coloured])
    axis, sign = BOX_WAYS[way]
    along, without = _apart(labs, np.array(from_.lab), axis)
    far = np.asarray(delta_e2000(without, np.array(from_.lab)))
    right = np.flatnonzero((along * sign >= _PLAINLY) & (far <= _ALIKE))
    best = [coloured[int(i)] for i in right[np.argsort(far[right], kind="stable")][:k]]
    places = fibre_places(library, [s.code for s in best])
    own = np.array(from_.lab)
    return tuple(_in_box(s, places, under=difference_words(np.array(s.lab), own)) for s in best)


def _apart(labs: Array, lab: Array, axis: str) -> tuple[Array, Array]:
    """How far each colour (n, 3) lies from another along an axis, and what it would be without
    that."""
    without = labs.copy()
    if axis == "C":
        chroma, own = lab_to_lch(labs)[:, 1], float(lab_to_lch(lab)[1])
        without[:, 1:] *= (own / np.maximum(chroma, 1e-9))[:, None]
        return chroma - own, without
    place = "Lab".index(axis)
    without[:, place] = lab[place]
    return labs[:, place] - lab[place], without


def _tags(s: ListedSwatch) -> dict[str, tuple[str, ...]]:
    """The words each filter knows a swatch by."""
    waits = waits_for(s.has_bath, s.shown, read=s.read, dry=s.lab is not None)
    return {
        "fibre": (s.fibre,) if s.fibre else (),
        "plant": s.plants,
        "mordant": (*s.mordants, *s.tannins) or (("none",) if s.kinds else ()),
        "after": s.afters or (("none",) if s.kinds else ()),
        "waits": waits,
    }


def _choices(
    tags: Mapping[str, Mapping[str, tuple[str, ...]]],
) -> dict[str, list[tuple[str, int]]]:
    out = {}
    for name in BOX_FILTERS:
        counts = Counter(word for its in tags.values() for word in dict.fromkeys(its[name]))
        order = list(WAITS) if name == "waits" else sorted(counts, key=lambda w: (-counts[w], w))
        out[name] = [(word, counts[word]) for word in order if counts[word]]
    return out


def _tied(found: Sequence[ListedSwatch], by: str) -> list[tuple[str, str, list[ListedSwatch]]]:
    """Bundles as name, title and swatches, in the order of the box."""
    if by == "colour":
        return _by_colour(found)
    name_of: dict[str, Callable[[ListedSwatch], str | None]] = {
        "plant": lambda s: ", then ".join(dict.fromkeys(s.plants)),
        "day": lambda s: s.session,
        "lot": lambda s: s.lot,
    }
    bundles: dict[str, list[ListedSwatch]] = {}
    for s in reversed(found):
        bundles.setdefault(name_of[by](s) or "", []).append(s)
    names = [n for n in bundles if n]
    if by == "plant":
        names.sort(key=lambda n: (-len(bundles[n]), n))
    elif by == "day":
        names.sort(reverse=True)
    if "" in bundles:
        names.append("")
    title = {"plant": "{}", "day": "{}", "lot": "lot {}"}[by]
    return [
        (
            n or NOT_TOLD,
            title.format(day_words(n) if by == "day" else n) if n else f"{BOX_BY[by]} {NOT_TOLD}",
            _light_first(bundles[n]),
        )
        for n in names
    ]


def _by_colour(found: Sequence[ListedSwatch]) -> list[tuple[str, str, list[ListedSwatch]]]:
    coloured = [s for s in found if s.lab is not None]
    bundles: dict[str, list[ListedSwatch]] = {}
    if coloured:
        labs = np.array([s.lab for s in coloured])
        for s, family in zip(coloured, families(labs), strict=True):
            bundles.setdefault(family, []).append(s)
    out = [(f, f, _light_first(bundles[f])) for f in FAMILIES if f in bundles]
    rest = [s for s in reversed(found) if s.lab is None]
    return [*out, *([(NO_COLOUR, NO_COLOUR, rest)] if rest else [])]


def _light_first(swatches: list[ListedSwatch]) -> list[ListedSwatch]:
    return sorted(swatches, key=lambda s: -s.lab[0] if s.lab is not None else 1.0)


def _in_box(
    s: ListedSwatch, places: Mapping[str, FibrePlace], *, under: str | None = None
) -> BoxSwatch:
    plants = " and ".join(dict.fromkeys(s.plants))
    form = None if s.fibre_form == "untreated" else s.fibre_form
    fibre = fibre_words({"fibre": s.fibre, "fibre_form": form})
    on = f"{plants} on {fibre}" if plants and fibre else plants or fibre
    waits = waits_for(s.has_bath, s.shown, read=s.read, dry=s.lab is not None)
    line = ", then ".join([on, *dict.fromkeys(s.afters)]) if on else ""
    line = ", ".join([p for p in (line, *waits) if p])
    words = "" if s.lab is None else colour_words(s.lab)
    return BoxSwatch(
        s.code, s.name, s.lab, words, line if under is None else under, places.get(s.code)
    )
