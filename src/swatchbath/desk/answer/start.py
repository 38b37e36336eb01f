"""What waits when she opens her library: pots that are on, swatches to see to, lots to judge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from ...bath.cautions import cautions_for
from ...library import KeptPiece, Library, ListedSwatch, backup_state
from ..text.bath_words import bath_words
from ..text.wording import counted, plain, waits_for

# A pot that is neither rinsed nor dry is on for so many days: an indigo vat or a cold bath takes
# some. Our own choice.
_ON = timedelta(days=7)
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
    """A pot that is not rinsed yet. lot : its name, or None; day : its dye day; codes : what lies
    in it; bath : in words; cautions : of it."""

    lot: str | None
    day: str | None
    codes: tuple[str, ...]
    bath: tuple[str, ...]
    cautions: tuple[str, ...]


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
        tuple(_to_judge(every, library.kept_pieces())),
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
    first = library.swatch(swatches[0].code)
    return PotOn(
        first.lot,
        first.session,
        tuple(s.code for s in swatches),
        tuple(bath_words(first.conditions, first.steps)),
        tuple(c.sentence for c in cautions_for(plain(first.conditions), first.steps)),
    )


def _to_judge(every: Sequence[ListedSwatch], pieces: Sequence[KeptPiece]) -> list[tuple[str, str]]:
    """Lots of a kept shade's own recipe, dyed after it and read dry, that were not judged by it."""
    by_code = {s.code: s for s in every}
    out: dict[tuple[str, str], None] = {}
    for piece in pieces:
        own = [by_code[c] for c in piece.codes if c in by_code]
        recipes = {_recipe(s) for s in own if s.plants}
        lots = {s.lot for s in own} - {None}
        for s in every:
            if (
                own
                and s.number > max(o.number for o in own)
                and s.lab is not None
                and s.lot not in lots
                and s.code not in piece.judged
                and _recipe(s) in recipes
            ):
                out[piece.name, s.lot or s.code] = None
    return list(out)


def _recipe(s: ListedSwatch) -> tuple[object, ...]:
    """What makes two swatches of one recipe, amounts aside."""
    return s.fibre, s.fibre_form, s.plants, s.mordants, s.tannins, s.afters


def _backup(library: Library) -> str:
    state = backup_state(library)
    if not state.due:
        return ""
    if state.days is None:
        return "There is no backup yet"
    weeks = state.days // 7
    return f"The last backup is {counted(weeks, 'week')} old" if weeks else ""
