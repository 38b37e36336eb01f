"""A pot told once: several swatches, parts split among after-baths, a grid, a bath dyed again."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from string import ascii_lowercase
from typing import Any

from ...bath.change import changed
from ...bath.diary.reading import begins_with, read_step
from ...bath.step import Step
from ...bath.steps import FIBRE_COLUMNS, conditions_of, known
from ...conditions.columns import column
from ...conditions.spoken import in_words
from ...conditions.table import check_conditions
from ...errors import BadTable, BadValue
from ...library import Library, Swatch
from ..text.parse import parse_bath
from .came_out import as_suggested
from .fibre import fibre_of_words, share_weight, weightless
from .row import Row
from .row_writer import cautions_of, existing, made, questions_of

_NONE = ("none", "nothing", "no")


@dataclass(frozen=True)
class Piece:
    """One swatch of a pot: its code, its part of the lot, its fibre and its after-bath in words."""

    code: str
    part: str | None
    fibre: str
    after: str


@dataclass(frozen=True)
class PotAnswer:
    """What one entry put on record. lot : None where nothing was dyed yet. pieces in the order
    fibres by after-baths. asked : things worth a second look; cautions, general as for record."""

    lot: str | None
    pieces: tuple[Piece, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]
    general: tuple[str, ...]

    @property
    def codes(self) -> list[str]:
        """The codes, in order."""
        return [p.code for p in self.pieces]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON; the cautions for every bath stand last among the cautions."""
        return {
            "lot": self.lot,
            "swatches": [vars(p) | {"name": None} for p in self.pieces],
            "questions": list(self.questions),
            "cautions": [*self.cautions, *self.general],
        }


@dataclass(frozen=True)
class _PiecePlan:
    """One swatch to be: what is known of the fibre, its own steps, and a code given out before."""

    fibre: dict[str, Any]
    own: tuple[Step, ...]
    part: str | None
    after: str
    typed: dict[str, str]
    code: str | None = None


def pot(
    library: Library | str | Path,
    steps: Sequence[str | Step] = (),
    *,
    fibres: Sequence[str] = (),
    after: Sequence[str | Step] = (),
    like: str | None = None,
    changes: Iterable[str] = (),
    codes: Sequence[str] = (),
    weight: str | None = None,
    lot: str | None = None,
    day: str | None = None,
) -> PotAnswer:
    """Put what one pot did on record, told once, as swatches with codes.

    steps : treatments in order, as lines ("dye: weld 80 %, 80 C, 1 h") or Step. fibres : what lay
    in the pot ("superwash wool, bottom"), one swatch each. after : after-baths among which the
    pot was split ("none", "iron 2 %, 10 min"): parts a, b, c, one swatch for each fibre in each.
    like : a swatch on record (or "last"), whose fibre and steps are taken first; changes : its
    columns that were otherwise ("pH=5"). codes : codes given out before, in the order fibres by
    after-baths; those that have a bath go on with it, and one given out for a suggestion, with
    nothing told but changes, was dyed as suggested. weight : all dry fibre in the pot, on which
    amounts in grams are counted; else the sum of the fibres' own, where each is told ("wool
    60 g"). lot, day : the pot's own name (else one is given where something was dyed) and dye day.
    Raises BadValue, NotFound; then nothing is recorded.
    """
    changes = list(changes)
    with ExitStack() as stack:
        lib = existing(stack, library)
        typed: dict[str, str] = {}
        fibre_typed: list[dict[str, str]] = [{} for _ in fibres]
        fibre_rows = [fibre_of_words(t, own) for t, own in zip(fibres, fibre_typed, strict=True)]
        grams = share_weight(fibre_rows, weight, typed)
        if lib is None and codes:
            raise BadValue("There is no library yet, so none of its codes was given out.")
        going = [swatch_like(lib, code) for code in codes]
        if math.isnan(grams) and going:
            grams = sum(s.conditions.get("fibre_g", math.nan) for s in going)
        # What she told to be a name once is not asked about again.
        read = partial(read_step, fibre_g=grams, known=() if lib is None else lib.material_names())
        treatments = [line if isinstance(line, Step) else read(line) for line in steps]
        before: tuple[Step, ...] = ()
        bare = not (steps or fibres or after) and len(going) == 1
        model = swatch_like(lib, like) if like is not None else None
        if model is None and bare:
            model = as_suggested(lib, going[0])
        if model is None and changes:
            raise BadValue("A change is told and not of which bath. Name the swatch with --like.")
        if model is not None:
            before, own = _again(model, changes, typed)
            if weight is not None and not fibres:
                own |= {"fibre_g": grams}
            fibre_rows = fibre_rows or [own]
        if going and all(s.has_bath for s in going):
            if fibres or like is not None:
                raise BadValue(
                    "These codes have a fibre on record already. Leave --fibre and --like out to "
                    "go on with them, or leave the codes out to record new pieces."
                )
            fibre_rows = [
                {k: v for k, v in s.conditions.items() if k in FIBRE_COLUMNS} for s in going
            ]
        plans = _plans(fibre_rows, after, read, typed, going, fibre_typed)
        common = (*before, *treatments)
        if not common and not any(p.own for p in plans) and not fibre_rows:
            raise BadValue(
                "Nothing is told of the pot. Say at least a fibre and a treatment, such as "
                '--fibre wool --step "dye: weld 80 %, 80 C, 1 h".'
            )
        rows, questions = _checked(plans, common, going)
        lib = made(stack, library, lib)
        with lib.atomic():
            called, pieces = _write(lib, plans, common, going, lot, day)
    special, general = cautions_of(rows)
    questions += questions_of(rows)
    questions += weightless((*treatments, *(s for p in plans for s in p.own)), grams)
    return PotAnswer(called, tuple(pieces), tuple(questions), special, general)


def _after(text: str | Step, read: Callable[[str], Step]) -> tuple[tuple[Step, ...], str]:
    """The steps of one part, and its after-bath in words. Two after-baths: joined by then."""
    if isinstance(text, Step):
        return (text,), ", ".join(m.name for m in text.materials) or text.kind
    if text.strip().casefold() in _NONE:
        return (read_step("after-bath: none"),), "none"
    lines = re.split(r"\s+then\s+", text.strip())
    # "saddened with iron 1 %" says itself what it is.
    return tuple(read(t if begins_with(t) else f"after-bath: {t}") for t in lines), text.strip()


def swatch_like(library: Library | None, key: str) -> Swatch:
    if library is None:
        raise BadValue(f"There is no library yet, so there is no swatch {key} to go by.")
    if key == "last":
        # The one dyed last: a code that was only given out is no bath.
        done = [s for s, _ in library.find(k=500) if s.has_bath]
        if not done:
            raise BadValue("There is no bath on record yet, so there is no last one.")
        return done[0]
    return library.swatch(key)


def _again(
    model: Swatch, changes: list[str], typed: dict[str, str]
) -> tuple[tuple[Step, ...], dict[str, Any]]:
    """The steps and the fibre of a swatch with some columns changed."""
    if not model.has_bath:
        raise BadValue(
            f"Nothing is told of the bath of {model.code} yet, so it cannot be repeated."
        )
    # Where in the pot a new piece lies, and with how much else, is not known from another.
    bath = {k: v for k, v in model.conditions.items() if k not in ("pot_position", "pot_g")}
    fibre = {k: v for k, v in bath.items() if k in FIBRE_COLUMNS}
    cells = parse_bath(changes) if changes else {}
    if not cells:
        return model.steps, fibre
    try:
        checked = check_conditions(
            _frame({k: v for k, v in bath.items() if column(k)} | cells), required=()
        )
    except BadTable as error:
        raise BadValue(_plain(str(error))) from error
    typed |= {k: v for k, v in checked.typed[0].items() if k in cells}
    values = {k: known(checked.table[k].iloc[0]) for k in cells}
    fibre |= {k: v for k, v in values.items() if k in FIBRE_COLUMNS}
    baths = {k: v for k, v in values.items() if k not in FIBRE_COLUMNS}
    return changed(model.steps, fibre, baths), {k: v for k, v in fibre.items() if v is not None}


def _frame(cells: Mapping[str, Any]) -> Any:
    import pandas as pd

    return pd.DataFrame([dict(cells)], dtype=object)


def _plain(sentence: str) -> str:
    text = sentence.replace("Row 2, column ", "Column ").replace("Row 2: ", "")
    text = in_words(text)
    return text if text.startswith("pH") else text[:1].upper() + text[1:]


def _plans(
    fibre_rows: Sequence[dict[str, Any]],
    after: Sequence[str | Step],
    read: Callable[[str], Step],
    typed: dict[str, str],
    going: Sequence[Swatch],
    fibre_typed: Sequence[dict[str, str]],
) -> list[_PiecePlan]:
    splits: list[tuple[tuple[Step, ...], str, str | None]] = [((), "", None)]
    if after:
        if len(after) > len(ascii_lowercase):
            raise BadValue(f"{len(after)} after-baths are told; a lot is split into 26 at most.")
        parts = [None] if len(after) == 1 else list(ascii_lowercase[: len(after)])
        splits = [(*_after(a, read), p) for a, p in zip(after, parts, strict=True)]
    as_typed = fibre_typed if len(fibre_typed) == len(fibre_rows) else [{} for _ in fibre_rows]
    each = [(fibre, typed | own) for fibre, own in zip(fibre_rows, as_typed, strict=True)]
    if going and fibre_rows and len(fibre_rows) == len(going) and len(splits) == len(going) > 1:
        # Codes that go on with their bath, one part each.
        pairs = list(zip(each, splits, strict=True))
    else:
        pairs = [(fibre, split) for fibre in each for split in splits]
    if len(pairs) == 1:
        pairs = pairs * max(len(going), 1)  # one fibre, several pieces of it
    if going and len(pairs) != len(going):
        given = "1 code is given" if len(going) == 1 else f"{len(going)} codes are given"
        raise BadValue(
            f"{given} for {len(pairs)} swatches (fibres by after-baths). Give "
            "one code for each, in that order."
        )
    return [
        _PiecePlan(fibre, own, part, words, told, going[i].code if going else None)
        for i, ((fibre, told), (own, words, part)) in enumerate(pairs)
    ]


def _checked(
    plans: Sequence[_PiecePlan], common: Sequence[Step], going: Sequence[Swatch]
) -> tuple[list[Row], list[str]]:
    """Each swatch's bath as a row, refused where it cannot be, and what to ask about once."""
    rows: list[Row] = []
    questions: list[str] = []
    for i, plan in enumerate(plans):
        had = going[i].steps if going and going[i].has_bath else ()
        steps = (*had, *common, *plan.own)
        bath = conditions_of(steps, plan.fibre)
        try:
            checked = check_conditions(_frame(_without_the_boil(bath, steps)), required=())
        except BadTable as error:
            raise BadValue(_plain(str(error))) from error
        questions += [_plain(s) for s in checked.sentences]
        rows.append(Row(None, bath, steps=steps))
    return rows, list(dict.fromkeys(questions))


def _without_the_boil(bath: Mapping[str, Any], steps: Sequence[Step]) -> dict[str, Any]:
    """A bath without the heat of what was told to boil: that word is not asked about again."""
    boiled = {step.kind for step in steps if step.heat == "boil"}
    heat = {"dye": "temperature_C", "mordant": "mordant_C"}
    return {n: v for n, v in bath.items() if n not in {heat.get(kind) for kind in boiled}}


def _one_day(going: Sequence[Swatch]) -> str | None:
    """The dye day that all of some swatches have; BadValue where they have several."""
    days = {s.session for s in going if s.session}
    if len(days) > 1:
        raise BadValue(
            f"These pieces have different dye days on record ({', '.join(sorted(days))}). Say with "
            "--day which day this pot was, or go on with them one day at a time."
        )
    return days.pop() if days else None


def _write(
    library: Library,
    plans: Sequence[_PiecePlan],
    common: Sequence[Step],
    going: Sequence[Swatch],
    lot: str | None,
    day: str | None,
) -> tuple[str | None, list[Piece]]:
    """Write the lot where something was dyed, and its swatches."""
    dyed = any(s.kind == "dye" for s in common) and (len(plans) > 1 or lot is not None)
    on = bool(going) and going[0].has_bath
    called = lot
    # Pieces that have a lot stay in it, also where some of them are dyed over.
    if lot is not None or (dyed and not any(s.lot for s in going)):
        # What is told in stages, or again after a dyeing, stays with each swatch.
        called = library.add_lot([] if on else common, name=lot, session=day or _one_day(going))
    shared = common if called is None or on else ()
    own_day = day if called is None else None
    pieces = []
    for plan in plans:
        place: dict[str, Any] = {"lot": called, "part": plan.part, "session": own_day}
        bath: dict[str, Any] = {
            "steps": [*shared, *plan.own],
            "fibre": plan.fibre,
            "typed": plan.typed,
        }
        code = plan.code or library.add_swatch(**place, **bath)
        if plan.code is not None and on:
            library.continue_swatch(code, bath["steps"], **place)
        elif plan.code is not None:
            library.describe_swatch(code, **place, **bath)
        words = " ".join(str(plan.fibre[k]) for k in ("fibre_form", "fibre") if k in plan.fibre)
        pieces.append(Piece(code, plan.part, words, plan.after))
    return called, pieces
