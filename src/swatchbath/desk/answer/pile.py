"""A pile of skeins sorted: what goes together, in what order, which match best, which is odd."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from ...colorimetry.conversion import to_d65_2
from ...colorimetry.measurement import Measurement
from ...colorimetry.words import difference_words
from ...errors import BadValue, NotFound
from ...library import Library, Swatch, is_library
from ...match import sort
from ...match.pairs import Pairs, compare_all
from ..keep.edit_many import swatches_where
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.several import several_in_photo
from ..photo.shade import refuse_without_photo
from ..text.closeness import closeness
from ..text.wording import counted, screen

Progress = Callable[[int, int, str], None]
# Pairs that cannot be told, named in one sentence.
_NAMED = 5


@dataclass(frozen=True, eq=False)
class Skein:
    """One of the pile: what it is called, its code and name where it is on record, its reading as
    D65/2."""

    called: str
    reading: Measurement
    code: str | None = None
    name: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        lab = self.reading.lab
        facts = {"called": self.called, "code": self.code, "name": self.name}
        return facts | {"lab": lab.tolist()} | screen(lab)


@dataclass(frozen=True, eq=False)
class PileAnswer:
    """Positions in `skeins`: groups, the largest first; row: the gradient, where it was asked for;
    best : those that match best, likewise; odd : the one that is odd, or None. one_photo : whether
    all were read in one. left_out : what was not sorted and why, one sentence each; said : of how
    they were read."""

    skeins: tuple[Skein, ...]
    pairs: Pairs
    closeness: str
    groups: tuple[tuple[int, ...], ...]
    row: tuple[int, ...]
    best: tuple[int, ...]
    odd: int | None
    one_photo: bool
    left_out: tuple[str, ...] = ()
    said: tuple[str, ...] = ()

    def doubtful(self, group: Sequence[int]) -> list[tuple[int, int]]:
        """The pairs of a group that cannot be told, the furthest apart first."""
        return sort.doubtful_pairs(self.pairs, group)

    def called(self, places: Sequence[int]) -> list[str]:
        """What the skeins at these positions are called."""
        return [self.skeins[i].called for i in places]

    def group_words(self, group: Sequence[int]) -> str:
        """What can be said of a group, in one or two sentences."""
        if len(group) == 1:
            return "It goes with no other."
        doubtful = self.doubtful(group)
        if not doubtful:
            return "All of them match each other."
        of = len(group) * (len(group) - 1) // 2
        i, j = doubtful[0]
        read = f"{self.pairs.delta_e2000[i, j]:.1f} as read"
        furthest = f"{self.skeins[i].called} and {self.skeins[j].called}, CIEDE2000 {read}"
        if of == 1:
            first = f"Whether they match cannot be told (CIEDE2000 {read})"
        elif len(doubtful) == of:
            first = f"No difference is sure, nor is any ruled out; furthest apart are {furthest}"
        else:
            left = of - len(doubtful)
            first = (
                f"{left} of the {of} pairs {'matches' if left == 1 else 'match'}, and "
                f"{len(doubtful)} cannot be told; of those furthest apart are {furthest}"
            )
        how = (
            "Lay them next to each other and look in daylight before you rely on it"
            if self.one_photo
            else "Photograph this group in one frame, close together, and sort that photo"
        )
        return f"{first}. {how}."

    @property
    def odd_words(self) -> str:
        """Which is the odd one and how it differs from the others; "" where there is none."""
        if self.odd is None:
            return ""
        others = [s.reading.lab for i, s in enumerate(self.skeins) if i != self.odd]
        one = self.skeins[self.odd]
        words = difference_words(one.reading.lab, np.mean(others, axis=0))
        return f"{one.called} is the odd one out: {words} than the others."

    @property
    def row_words(self) -> str:
        """Where the row steps most; "" where no row was asked for."""
        if len(self.row) < 2:
            return ""
        d = self.pairs.delta_e2000
        steps = [float(d[i, j]) for i, j in zip(self.row[:-1], self.row[1:], strict=True)]
        k = int(np.argmax(steps))
        i, j = self.row[k], self.row[k + 1]
        return (
            f"The largest step is from {self.skeins[i].called} to {self.skeins[j].called} "
            f"(CIEDE2000 {steps[k]:.1f})."
        )

    @property
    def best_words(self) -> str:
        """How far the best apart are; "" where none were asked for."""
        if not self.best:
            return ""
        among = self.pairs.delta_e2000[np.ix_(self.best, self.best)]
        doubtful = self.doubtful(self.best)
        sure = (
            " All of them match each other."
            if not doubtful and not self.pairs.no_match[np.ix_(self.best, self.best)].any()
            else " Even of these some pairs differ."
            if self.pairs.no_match[np.ix_(self.best, self.best)].any()
            else " Not all of these pairs can be told."
        )
        return f"As read, no two of them lie over {among.max():.1f} apart (CIEDE2000).{sure}"

    @property
    def summary(self) -> str:
        """How many groups there are, and for what."""
        count = counted(len(self.skeins), "skein")
        sure = not any(self.doubtful(g) for g in self.groups)
        may = "go" if sure else "may go"
        if len(self.groups) == 1:
            return f"{count}, {self.closeness}: all of them {may} together."
        if len(self.groups) == len(self.skeins):
            return f"{count}, {self.closeness}: no two of them go together."
        groups = counted(len(self.groups), "group")
        return f"{count}, {self.closeness}: {groups} that {may} together."

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        d = self.pairs.delta_e2000
        return {
            "tolerance": self.pairs.tolerance,
            "words": self.summary,
            "skeins": [s.as_dict() for s in self.skeins],
            "groups": [
                {
                    "skeins": self.called(g),
                    "codes": [s.code for i in g if (s := self.skeins[i]).code is not None],
                    "words": self.group_words(g),
                    "furthest": float(d[np.ix_(g, g)].max()),
                    "cannot_tell": [
                        {"pair": self.called(p), "delta_e2000": float(d[p])}
                        for p in self.doubtful(g)
                    ],
                }
                for g in self.groups
            ],
            "row": self.called(self.row),
            "row_words": self.row_words,
            "best": self.called(self.best),
            "best_words": self.best_words,
            "odd_one": None if self.odd is None else self.skeins[self.odd].called,
            "odd_words": self.odd_words,
            "one_photo": self.one_photo,
            "left_out": list(self.left_out),
            "said": list(self.said),
        }


def pile(
    skeins: Sequence[Skein],
    *,
    tolerance: float | None = None,
    purpose: str | None = None,
    row: bool = False,
    best: int | None = None,
    left_out: Sequence[str] = (),
    progress: Progress | None = None,
) -> PileAnswer:
    """Sort skeins: groups in which no two are seen to differ, and, where asked, the row with the
    smoothest steps and the `best` that match best.

    tolerance : the difference that still passes, CIEDE2000; purpose : garment, customer or family
    in its place. Raises BadValue for fewer than two, ValueOutOfRange for too many best.
    """
    within, words = closeness(tolerance, purpose)
    if len(skeins) < 2:
        raise BadValue(
            "A pile needs two skeins or more that have been read dry."
            + (f" {' '.join(left_out)}" if left_out else " Name more of them.")
        )
    named = [s.called for s in skeins]
    if twice := sorted({n for n in named if named.count(n) > 1}):
        raise BadValue(f"{twice[0]} is named twice; name each skein once.")
    tell = progress or (lambda done, of, what: None)
    tell(0, 3, f"comparing {len(skeins)} skeins")
    pairs = compare_all([s.reading for s in skeins], tolerance=within)
    tell(1, 3, "putting them in groups")
    groups = tuple(tuple(g) for g in sort.groups(pairs))
    tell(2, 3, "putting them in order")
    in_row = tuple(sort.gradient(pairs)) if row else ()
    chosen = () if best is None else tuple(sort.best_k(pairs, best))
    tell(3, 3, "sorted")
    photos = {s.reading.photo for s in skeins}
    return PileAnswer(
        tuple(skeins), pairs, words, groups, in_row, chosen, sort.odd_one(pairs),
        len(photos) == 1 and None not in photos, tuple(left_out),
    )  # fmt: skip


def pile_typed(
    folder: Path,
    swatches: Sequence[str] = (),
    *,
    where: Sequence[str] = (),
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: Sequence[str] = (),
    in_frame: InFrame = NOTHING_MORE,
    **how: Any,
) -> PileAnswer:
    """`pile` of swatches and lots by what they are called, of all of which `where` holds
    (column=value, as `edit_many`), or of what lies at several places in one photo.

    folder : of the library, where there is one; a photo needs none. how : as for `pile`.
    """
    closeness(
        how.get("tolerance"), how.get("purpose")
    )  # says what cannot be before a photo is read
    meant = [name for name, given in (("swatches", swatches), ("--where", where)) if given]
    if photo is not None:
        if meant:
            raise BadValue("A photo and swatches on record were named. Sort one pile at a time.")
        with ExitStack() as stack:
            library = stack.enter_context(Library(folder)) if is_library(folder) else None
            found = several_in_photo(
                library, photo, card=card, card_lab=card_lab, at=at, in_frame=in_frame
            )
        skeins = [Skein(n, to_d65_2(m), *found.own.get(n, ())) for n, m in found.readings.items()]
        return replace(pile(skeins, left_out=found.left_out, **how), said=found.said)
    refuse_without_photo(card, card_lab, at[0] if at else None, in_frame)
    if len(meant) != 1:
        raise BadValue(
            "Say which skeins: their codes or lots one after the other, or all that are alike with "
            "--where dyestuff=weld, or a photo of them with --photo and --at."
            if not meant
            else "Name the skeins by their codes or by --where, not by both."
        )
    if not is_library(folder):
        raise NotFound(
            f"There is no library in {folder}. A pile needs none if you photograph it: --photo "
            "PILE.jpg, and --at x,y once for each skein."
        )
    with Library(folder) as library:
        if where:
            on_record = swatches_where(library, where)
        else:
            codes = [code for typed in swatches for code in library.codes_of(typed)]
            on_record = library.swatches(list(dict.fromkeys(codes)))
        skeins, left_out = skeins_of(on_record)
    return pile(skeins, left_out=left_out, **how)


def pile_photos(
    folder: Path,
    photos: Sequence[tuple[str, str | None, Sequence[str]]],
    *,
    progress: Progress | None = None,
    **how: Any,
) -> PileAnswer:
    """`pile` of what lies in several photos: (photo, card, at) of each, as `pile_typed` takes
    them. What lies in different photos is told apart less sharply. In the second photo the first
    place is called 2.1. Raises BadValue, PhotoRefused."""
    closeness(how.get("tolerance"), how.get("purpose"))
    if len(photos) == 1:
        ((photo, card, at),) = photos
        return pile_typed(folder, photo=photo, card=card, at=at, progress=progress, **how)
    skeins: list[Skein] = []
    left_out: list[str] = []
    with ExitStack() as stack:
        library = stack.enter_context(Library(folder)) if is_library(folder) else None
        for number, (photo, card, at) in enumerate(photos, start=1):
            if progress:
                progress(number - 1, len(photos), f"reading photo {number}")
            found = several_in_photo(library, photo, card=card, at=at)
            skeins += [
                Skein(n if n in found.own else f"{number}.{n}", to_d65_2(m), *found.own.get(n, ()))
                for n, m in found.readings.items()
            ]
            left_out += [f"Photo {number}, {why}" for why in found.left_out]
    return pile(skeins, left_out=left_out, progress=progress, **how)


def skeins_of(swatches: Sequence[Swatch]) -> tuple[list[Skein], list[str]]:
    """Swatches on record as skeins, by the latest photo that shows all of them dry if there is
    one, else each by its latest dry reading; and those that have none, as sentences."""
    dry = {
        s.code: {m.photo: m for state, _, m in s.measurements if state != "wet"} for s in swatches
    }
    read = [s for s in swatches if dry[s.code]]
    left_out = [s.code for s in swatches if not dry[s.code]]
    together: str | None = None
    if read:
        last = [p for p in dry[read[0].code] if p is not None]
        together = next((p for p in last[::-1] if all(p in dry[s.code] for s in read)), None)
    skeins = []
    for s in read:
        reading = dry[s.code][together] if together else s.measured
        assert reading is not None
        called = f"{s.code} ({s.name})" if s.name else s.code
        skeins.append(Skein(called, to_d65_2(reading), s.code, s.name))
    if not left_out:
        return skeins, []
    first = ", ".join(left_out[:_NAMED]) + (" and others" if len(left_out) > _NAMED else "")
    return skeins, [f"Not read dry yet, and left out: {first}. Photograph them first."]
