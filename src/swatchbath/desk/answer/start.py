"""What waits when she opens her library: pots that are on, swatches to see to, lots to judge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from ...bath.care import Care, care_of, lived_with
from ...bath.cautions import Caution, cautions_for, materials_of, most_hazardous_first
from ...library import Library, ListedSwatch, backup_state
from ..text.bath_words import bath_words
from ..text.wording import counted, plain, waits_for

# A pot that is neither rinsed nor dry is on for so many days: an indigo vat or a cold bath takes
# some. Our own choice.
_ON = timedelta(days=7)
# Amounts are the same within a twentieth, as a kitchen scale weighs them. Our own choice.
_SAME = 0.05
# What to say of swatches that wait, after their number.
_WAITING = {
    "to be photographed": "to photograph when dry",
    "to be described": "photographed, without a bath",
    "to be typed in": "with a pot sheet to type in",
    "to be measured": "to measure",
    "given out": "with a tag and nothing else yet",
}


@dataclass(frozen=True)
class PotOn:
    """A pot that is not rinsed yet. lot : its name, or None; day : its dye day; pieces : code and
    what it is of all that lies in it; bath : in words; care : the cautions of all of it."""

    lot: str | None
    day: str | None
    pieces: tuple[tuple[str, str], ...]
    bath: tuple[str, ...]
    care: Care


@dataclass(frozen=True)
class StartAnswer:
    """swatches : how many there are. pots : that are on. waits : (what, words) of swatches that
    wait. to_judge : (kept piece, lot or code) that may be laid beside one another. backup : what to
    say of the backup, or ""."""

    swatches: int
    pots: tuple[PotOn, ...]
    waits: tuple[tuple[str, str], ...]
    to_judge: tuple[tuple[str, str], ...]
    backup: str


def start(library: Library, *, today: date | None = None) -> StartAnswer:
    """What waits. today : else the machine's."""
    every = library.listed()
    day = today or datetime.now().astimezone().date()
    counts = dict.fromkeys(_WAITING, 0)
    on = _on(every, day)
    in_pots = {s.code for pot in on for s in pot}
    for s in every:
        for what in waits_for(s.has_bath, s.shown, read=s.read, dry=s.lab is not None):
            counts[what] += s.code not in in_pots
    return StartAnswer(
        len(every),
        tuple(_pot(library, pot) for pot in on),
        tuple((w, f"{counted(n, 'swatch', 'swatches')} {_WAITING[w]}") for w, n in counts.items()
              if n),
        tuple(_to_judge(library, every)),
        _backup(library),
    )  # fmt: skip


def _on(every: Sequence[ListedSwatch], today: date) -> list[list[ListedSwatch]]:
    """The swatches of each pot that is on, the newest first."""
    pots: dict[str, list[ListedSwatch]] = {}
    for s in reversed(every):
        if "dye" not in s.kinds or s.read or not _since(s, today) <= _ON:
            continue
        last = max(i for i, kind in enumerate(s.kinds) if kind in ("dye", "after-bath"))
        if not {"rinse", "wash", "dry"} & set(s.kinds[last:]):
            pots.setdefault(s.lot or s.code, []).insert(0, s)
    return list(pots.values())


def _since(s: ListedSwatch, today: date) -> timedelta:
    """How long ago it was dyed: by its dye day, else by when it was recorded."""
    for told in (s.session, s.added):
        try:
            return today - datetime.fromisoformat(told or "").date()
        except ValueError:
            continue
    return timedelta.max


def _pot(library: Library, swatches: Sequence[ListedSwatch]) -> PotOn:
    whole = library.swatches([s.code for s in swatches])
    first = whole[0]
    cautions: dict[str, Caution] = {}
    for piece in whole:
        cautions |= {c.name: c for c in cautions_for(plain(piece.conditions), piece.steps)}
    care = care_of(
        most_hazardous_first(cautions.values()),
        set().union(*(materials_of(plain(piece.conditions)) for piece in whole)),
        lived_with(plain(s.conditions) for s in library.swatches(library.dried_by_hand())),
    )
    pieces = tuple(
        (s.code, ", ".join([s.fibre or "fibre not told", *dict.fromkeys(s.afters)]))
        for s in swatches
    )
    # What all of it went through: the after-baths of its parts stand with the pieces.
    common = [step for step in first.steps if step.kind != "after-bath"]
    return PotOn(first.lot, first.session, pieces, tuple(bath_words({}, common)), care)


def _to_judge(library: Library, every: Sequence[ListedSwatch]) -> list[tuple[str, str]]:
    """Lots of a kept shade's own recipe, dyed after it and read dry, that were not judged by it."""
    by_code = {s.code: s for s in every}
    out: dict[tuple[str, str], None] = {}
    for piece in library.kept_pieces():
        own = [by_code[c] for c in piece.codes if c in by_code]
        recipes = {_recipe(s): s.code for s in own if s.plants}
        lots = {s.lot for s in own} - {None}
        for s in every:
            if (
                own
                and s.number > max(o.number for o in own)
                and s.lab is not None
                and s.lot not in lots
                and s.code not in piece.judged
                and (model := recipes.get(_recipe(s))) is not None
                and _as_strong(library, s.code, model)
            ):
                out[piece.name, s.lot or s.code] = None
    return list(out)


def _recipe(s: ListedSwatch) -> tuple[object, ...]:
    """What makes two swatches of one recipe, amounts aside."""
    return s.fibre, s.fibre_form, s.plants, s.mordants, s.tannins, s.afters


def _as_strong(library: Library, code: str, model: str) -> bool:
    """Whether every amount on record for both is the same."""
    a, b = (plain(library.swatch(c).conditions) for c in (code, model))
    both = [n for n in a if "_owf" in n and n in b]
    return all(
        abs(float(a[n]) - float(b[n])) <= _SAME * max(float(a[n]), float(b[n])) for n in both
    )


def _backup(library: Library) -> str:
    state = backup_state(library)
    if not state.due:
        return ""
    if state.days is None:
        return "There is no backup yet"
    weeks = state.days // 7
    return f"The last backup is {counted(weeks, 'week')} old" if weeks else ""
