"""A new delivery of a dyestuff: what to dye to check it, and what the check swatches tell."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from ...bath.cautions import all_cautions, cautions_for
from ...conditions.vocabulary import meaning
from ...errors import BadValue, NotFound
from ...library import Library
from ...predict.delivery.correction import NewLot, new_lot
from ...predict.delivery.lots import CHECKS, LotSpread, checks_of, lot_spread, parse_checks
from ..entry.fibre import typed_grams
from ..entry.further import add_readings
from ..photo.in_frame import NOTHING_MORE, InFrame
from ..photo.shade import refuse_without_photo
from ..text.wording import grams_words, plain
from . import delivery_model
from .check_swatches import CheckSwatch, Recipe, check_of, reading_of, recipe_key, recipes_of
from .learn import LibraryModel, learn_rows

_COUNTS = {1: "one", 2: "two", 3: "three", 4: "four", 5: "five"}


@dataclass(frozen=True, eq=False)
class DeliveryAnswer:
    """A new delivery: not checked yet, checked, or with enough swatches of its own (`own`).

    recipes : what to dye to check it (further). checks, lot : what is on record and what it says.
    off : how far its baths are expected to be off on average (CIEDE2000) by the number of check
    swatches, 0 for none. give_or_take : percent of its strength, without checks and with them.
    read_otherwise : checks that share no camera or card with the record's readings. said : of a
    photo that was read for it.
    """

    dyestuff: str
    name: str
    grams: float
    wanted: int
    like: str = ""
    learnt: LibraryModel | None = None
    own: int = 0
    recipes: tuple[Recipe, ...] = ()
    off: dict[int, float] = field(default_factory=dict)
    checks: tuple[CheckSwatch, ...] = ()
    lot: NewLot | None = None
    spread: str = ""
    give_or_take: tuple[float, float] = (0.0, 0.0)
    read_otherwise: tuple[str, ...] = ()
    said: tuple[str, ...] = ()

    @property
    def state(self) -> str:
        """to check, checked, or learnt as its own."""
        return "learnt as its own" if self.own else "checked" if self.lot else "to check"

    @property
    def cautions(self) -> tuple[str, ...]:
        """All that the recipes call for, each once, most hazardous first."""
        found = {c.name for r in self.recipes for c in cautions_for(plain(r.bath))}
        return tuple(c.sentence for c in all_cautions() if c.name in found)

    @property
    def gain(self) -> str:
        """What one, three, five checks are expected to gain; "" where it is not told."""
        more = {k: off for k, off in self.off.items() if k > len(self.checks)}
        if self.lot is not None and self.lot.strange:
            return ""
        with_ = [f"with {_COUNTS[k]} by {off:.1f}" for k, off in more.items() if k]
        if not with_:
            return ""
        if self.lot is not None:
            if min(more.values()) > self.off[len(self.checks)] - 0.05:
                return "More checks would hardly bring its baths nearer."
            return f"More checks would usually bring its baths nearer: {_and(with_)} (CIEDE2000)."
        return (
            f"Without a check, baths with {self.dyestuff} {self.name} are expected to be off by "
            f"{self.off[0]:.1f} on average (CIEDE2000), {_and(with_)}."
        )

    @property
    def strength(self) -> str:
        """One sentence: how well its strength is known, or would be; "" where that is not told."""
        before, after = self.give_or_take
        if not after or (self.lot is not None and self.lot.strange):
            return ""
        if self.lot is not None:
            return f"Its strength is known give or take {after:.0f} %, without checks {before:.0f}."
        return (
            f"Its strength is not known better than give or take {before:.0f} % before, and "
            f"{after:.0f} % after {_COUNTS[len(self.recipes)]}."
        )

    @property
    def words(self) -> str:
        """What is to be said of it first."""
        if self.lot is not None:
            return self.lot.words
        if self.own:
            return (
                f"{self.dyestuff} {self.name} has {self.own} swatches of its own on record, more "
                f"than the {CHECKS[1]} that check one: it is learnt as a delivery of its own, and "
                "needs no check."
            )
        count = len(self.recipes)
        fewer = (
            f" There are only {count} recipes of {self.dyestuff} alone on record to repeat."
            if count < self.wanted
            else ""
        )
        return (
            f"No swatch on record was dyed with {self.dyestuff} {self.name} alone. Dye "
            f"{count} check swatch{'' if count == 1 else 'es'} as written here, and it can be told "
            f"how it differs from {self.like}.{fewer}"
        )

    @property
    def next(self) -> tuple[str, ...]:
        """What to do now, one sentence each."""
        limit = delivery_model.quoted(f"dyestuff_lot={self.name}")
        ask = f"swatchbath suggest SHADE --limit {limit}"
        if self.own:
            return (f"Ask for a shade with it: {ask}.",)
        typed = [delivery_model.quoted(word) for word in (self.dyestuff, self.name)]
        again = f"swatchbath delivery {' '.join(typed)}"
        if self.lot is None:
            return (
                "Keep to the recipe of the swatch that each repeats, the fibre and the water too, "
                "so that nothing but the delivery differs.",
                f"Name {self.name} as their delivery when you record them; the command under each "
                "recipe does, and copies the rest of the bath.",
                "Photograph each dry, touching the swatch it repeats, on plain paper by the grey "
                "card (--beside names that one): your camera misjudges like colours alike, so the "
                "difference from your own yarn stays true. They need not match.",
                f"Then ask again: {again}.",
            )
        sentences = []
        if self.read_otherwise:
            them = "it" if len(self.read_otherwise) == 1 else "them"
            was = "was" if len(self.read_otherwise) == 1 else "were"
            sentences.append(
                f"{_and(list(self.read_otherwise))} {was} read otherwise than your other swatches "
                "(by another camera, another card or an instrument); what sets the two apart may "
                f"be as large as the difference. Photograph {them} as you did the others, to tell "
                "more."
            )
        sentences += [
            f"suggest, predict and plan are corrected by themselves where you name it: {ask}.",
            f"Name {self.name} as the delivery of whatever you dye with it; from "
            f"{CHECKS[1] + 1} swatches on it is learnt as a delivery of its own.",
        ]
        if not self.recipes and len(self.checks) < CHECKS[1] and self.gain:
            sentences.append(f"For what to dye as a further check: {again} --checks {CHECKS[1]}.")
        return tuple(sentences)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON; cautions first."""
        return {
            "cautions": list(self.cautions),
            "dyestuff": self.dyestuff,
            "name": self.name,
            "state": self.state,
            "like": self.like,
            "words": self.words,
            "gain": self.gain,
            "strength": self.strength,
            "strength_give_or_take": list(self.give_or_take),
            "expected_off": {str(k): off for k, off in self.off.items()},
            "spread": self.spread,
            "grams": self.grams,
            "grams_words": grams_words(self.grams),
            "recipes": [r.as_dict(self.name, self.grams) for r in self.recipes],
            "checks": [c.as_dict() for c in self.checks],
            "new_lot": None if self.lot is None else self.lot.as_dict(),
            "read_otherwise": list(self.read_otherwise),
            "said": list(self.said),
            "next": list(self.next),
            "trust": "" if self.learnt is None else self.learnt.trust,
            "issues": [] if self.learnt is None else list(self.learnt.issues),
            "meta": None if self.learnt is None else self.learnt.model.meta_,
        }


def delivery(
    library: Library, dyestuff: str, name: str, *, checks: int = 3, grams: float | str = 10.0
) -> DeliveryAnswer:
    """A new delivery of a dyestuff: recipes that check it, or what its check swatches tell.

    name : as dyestuff_lot says. checks : check swatches wanted in all, 1 to 5. grams : dry fibre
    of one. Raises BadValue where the name or the number cannot be, NotFound where the dyestuff or
    another delivery of it is not on record, NotEnoughSwatches under 12 other usable swatches.
    """
    wanted = parse_checks(checks)
    grams = typed_grams(grams)
    name = " ".join(name.split())
    if not name or "," in name or meaning("dyestuff_lot", name) == "none":
        raise BadValue(f"'{name}' is no name for a delivery; give one without commas, such as W26.")
    conditions, measured, _ = library.table()
    known = delivery_model.deliveries_on_record(conditions)
    mine = [d for d in known if d.is_of(dyestuff) and d.is_called(name)]
    here = mine[0] if mine else None
    if here is not None and not here.few and here.alone:
        count = len(here.alone) + len(here.together)
        return DeliveryAnswer(here.dyestuff, here.name, grams, wanted, own=count)
    best = _better_known(conditions, known, dyestuff, name)
    clash = delivery_model.of_another(known, best.dyestuff, name)
    if clash:
        raise BadValue(
            f"There is a delivery of {clash} called '{name}' on record already; give the new "
            f"{best.dyestuff} another name, such as '{best.dyestuff} {name}'."
        )
    if here is None or not here.alone:
        learnt = (
            learn_rows(library, conditions, measured)
            if here is None
            else delivery_model.learn_others(library, conditions, measured, here)
        )
        recipes = recipes_of(library, learnt, best.dyestuff, wanted)
        lots = _predicted(
            library, learnt, best.dyestuff, name, wanted, lot_spread(learnt.model.fit_)
        )
        first = lots[1]
        return DeliveryAnswer(
            best.dyestuff,
            name,
            grams,
            wanted,
            first.like,
            learnt,
            recipes=recipes,
            off={0: first.before} | {k: lot.after for k, lot in lots.items()},
            spread=first.spread.note,
            give_or_take=_strength(lots.get(len(recipes), first)),
        )
    if len(best.alone) <= len(here.alone):
        raise NotFound(
            f"No other delivery of {here.dyestuff} has more swatches on record than {here.name} "
            f"({len(here.alone)}), so nothing better known is there to compare it with."
        )
    learnt, lot = delivery_model.corrected(library, conditions, measured, here)
    named = {"dyestuff_lot": lot.like} if any(d.is_called(lot.like) for d in known) else {}
    dyed_checks = tuple(check_of(library.swatch(code), learnt, named) for code in here.alone)
    dyed = {recipe_key(c.swatch.conditions) for c in dyed_checks}
    recipes = recipes_of(library, learnt, best.dyestuff, wanted)
    further = [r for r in recipes if recipe_key(r.bath) not in dyed]
    off = {0: lot.before, len(dyed_checks): lot.after}
    if len(dyed_checks) < CHECKS[1]:
        lots = _predicted(library, learnt, best.dyestuff, name, wanted, lot.spread)
        off |= {k: v.after for k, v in lots.items() if k > len(dyed_checks) and v.after < lot.after}
    theirs = {n for i, m in enumerate(measured) if i not in here.rows for n in m.shared}
    return DeliveryAnswer(
        here.dyestuff,
        here.name,
        grams,
        wanted,
        lot.like,
        learnt,
        recipes=tuple(further[: max(0, wanted - len(dyed_checks))]),
        off=off,
        checks=dyed_checks,
        lot=lot,
        spread=lot.spread.note,
        give_or_take=_strength(lot),
        read_otherwise=tuple(
            c.swatch.code
            for c in dyed_checks
            if theirs and not theirs & set(reading_of(c.swatch).shared)
        ),
    )


def delivery_typed(
    library: Library,
    dyestuff: str,
    name: str,
    *,
    photo: str | None = None,
    card: str | None = None,
    card_lab: str | None = None,
    at: Iterable[str] = (),
    in_frame: InFrame = NOTHING_MORE,
    **how: Any,
) -> DeliveryAnswer:
    """`delivery`, after further readings of its check swatches were put on record from a photo.

    at : places of swatches on record, as CODE=x,y. in_frame : what else lies in the photo.
    """
    at = list(at)
    if photo is None:
        refuse_without_photo(card, card_lab, at[0] if at else None, in_frame)
        return delivery(library, dyestuff, name, **how)
    if not at:
        raise BadValue("Say where the check swatches lie in the photo: --at CODE=x,y for each.")
    with library.atomic():
        said = add_readings(library, photo, at, card=card, card_lab=card_lab, in_frame=in_frame,
                            of=(dyestuff, name))  # fmt: skip
        return replace(delivery(library, dyestuff, name, **how), said=tuple(said))


def _better_known(
    conditions: Any, known: tuple[delivery_model.RecordedDelivery, ...], dyestuff: str, name: str
) -> delivery_model.RecordedDelivery:
    """The delivery of a dyestuff with the most swatches, other than the one named."""
    single = delivery_model.alone(conditions)
    words = conditions["dyestuff"] if "dyestuff" in conditions else []
    dyed = {str(w) for w, s in zip(words, single, strict=True) if s and isinstance(w, str)}
    if not any(meaning("dyestuff", w) == meaning("dyestuff", dyestuff) for w in dyed):
        there = ", ".join(sorted(dyed)) or "none yet"
        raise NotFound(
            f"No swatch was dyed with {dyestuff} alone, so a new delivery of it has nothing to be "
            f"compared with; on record are: {there}."
        )
    others = [d for d in known if d.is_of(dyestuff) and not d.is_called(name) and d.alone]
    if not others:
        raise NotFound(
            f"No other delivery of {dyestuff} is named on record; write its name into dyestuff_lot "
            f"of the swatches you have (swatchbath edit CODE --set dyestuff_lot=...), so that "
            f"{name} can be told from it."
        )
    return max(others, key=lambda d: len(d.alone))


def _predicted(
    library: Library, learnt: LibraryModel, dyestuff: str, name: str, wanted: int, spread: LotSpread
) -> dict[int, NewLot]:
    """What the model would say after one, three, five and the wanted number of checks that come
    out and are read as those they repeat: how far off is expected does not depend on the colour
    they come out in."""
    out: dict[int, NewLot] = {}
    for k in sorted({1, 3, 5, wanted}):
        chosen = checks_of(learnt.model.fit_, dyestuff, k)
        if len(chosen) == k:
            readings = [reading_of(library.swatch(learnt.name(row))) for row, _ in chosen]
            baths = [bath for _, bath in chosen]
            out[k] = new_lot(learnt.model.fit_, name, baths, readings, spread=spread)
    return out


def _strength(lot: NewLot) -> tuple[float, float]:
    """Percent (one standard deviation) by which the strength is not known, without the checks and
    with them."""
    both = lot.spread.covariance[0, 0], lot.covariance[0, 0]
    before, after = (100 * float(v) ** 0.5 for v in both)
    return before, after


def _and(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
