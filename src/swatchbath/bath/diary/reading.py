"""A diary line read into a step.

A line is a treatment, a colon, and parts in any order:

    line      = [beginning [":"]] part {("," | ";") part} ["note:" words]
    beginning = "mordant" | "tannin" | "dunging" | "dye" | "overdye" | "exhaust" | "vat" | "after"
              | "sadden" | "modifier" | "scour" | "rinse" | "wash" | "dry" ... and their verbs
    part      = {fact | material}          facts: `facts`; materials: `naming`

    dye: fresh weld 300 %, 80 C, 1 h, pH 6 strip, 1:30, in steel, rain water
    mordant: gallnut 8 % ; alum 15 % + soda 2 %, 48 h, 60 F
    vat: indigo, fructose, 3 dips of 10 min, 50 C, 5 days old
    after-bath: iron liquor, jar J2, strip NJCE3, 10 min

The beginning may be left out where the first material tells (alum, weld, an indigo vat). What is
no fact, no known material and no material with an amount is asked about; a name in quotation marks
stands for itself. It is read by hand-written rules over tokens, one a fact, since names are open
words: a grammar made for closed languages has no place for them, nor for saying what is missing.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from ...conditions.trade_words import material_of, uses_of
from ...errors import BadValue
from ..step import Step
from .amounts import fibre, on_fibre, unweighed
from .beginning import BEGIN, beginning
from .facts import HEAT_AS, RULES
from .making import step_of
from .naming import Names
from .quantities import ABOUT, GRAMS, LITRES, MILLILITRES, MINUTES, UNWEIGHED, time
from .tokens import Cursor
from .told import Told
from .vessels import vessel

# How a part begins that tells of the work and not of the bath; it is kept as a note.
_WORK = frozenset(
    "stir stirred stirring strain strained cover covered lid cool cooled cooling rest rested "
    "squeeze squeezed wring wrung turn turned turning airing air aired then-cooled "
    "outside outdoors outdoor indoors tied tie muslin mesh lift lifted removed enter entered wet "
    "wetted let add added".split()
)
# How something was done; kept as a note, and what it was is read on.
_ADVERBS = ("gently", "slowly", "barely", "just", "gradually", "carefully")
# What the pot does by itself after its time; no second treatment.
_THEN = ("left", "leave", "cool", "cooled", "rest", "rested", "stand", "stood", "let")
_RAISE = ("raise", "raised", "heat", "heated", "bring", "brought", "warmed", "up")


def read_step(line: str, *, fibre_g: float | None = None, known: Iterable[str] = ()) -> Step:
    """The step a diary line tells of; the line is kept beside it (`Step.typed`).

    Parameters
    ----------
    line : str
    fibre_g : float, optional
        Dry weight of the fibre in the pot in g, for amounts in grams and water in litres; a line
        may tell it itself ("200 g on 100 g wool").
    known : iterable of str
        Names of materials that are on record already and need no asking.

    Returns
    -------
    Step

    Raises
    ------
    BadValue
        In one sentence with the way to write it, where a line can be read in two ways or holds a
        word that is not known.

    Examples
    --------
    >>> step = read_step("dye: 40 g fresh weld, 190 F, 1h30, pH 6", fibre_g=50)
    >>> step.materials[0].owf, step.temperature_C, step.minutes
    (80.0, 87.8, 90.0)
    """
    if not isinstance(line, str):
        raise BadValue(f"A diary line is words; not {line!r}.")
    text = " ".join(line.split())
    if fibre_g is not None and not fibre_g > 0:  # also NaN: the weight is not known
        fibre_g = None
    at, told = Cursor(text), Told(text, fibre_g=fibre_g)
    begun = beginning(at, told)
    at.begun = at.at
    names = Names(told)
    while at.peek().kind != "end":
        _next(at, told, names, begun)
    names.close()
    if names.harvest:
        raise told.refuse("name the material of that harvest.")
    kind = begun or _kind_by_material(told)
    return step_of(kind, told, frozenset(w.casefold() for w in known))


def begins_with(line: str) -> str:
    """The treatment that a line begins with, by its first words; empty where it begins with none.

    >>> begins_with("saddened with iron 1 %"), begins_with("iron 1 %")
    ('after-bath', '')
    """
    text = " ".join(line.split())
    return beginning(Cursor(text), Told(text))


def _next(at: Cursor, told: Told, names: Names, begun: str) -> None:
    """Step over the next thing told."""
    token = at.peek()
    first = at.at == 0 or at.peek(-1).part != token.part or at.peek(-1).text in (":", ";", ",")
    if token.text == ":" and names.open is not None and names.known(at, 1):
        names.join()  # madder : weld 2:1
        at.at += 1
    elif token.text in (",", ";", ":", "."):
        names.close()
        at.at += 1
    elif token.text in ("+", "&", "/", "and", "plus"):
        names.join()
        at.at += 1
    elif token.text in ("note", "nb", "n.b"):
        names.close()
        at.at += 1
        at.take_any((":",))
        if at.peek().kind != "end":
            told.note(at.line[at.peek().start :])
        at.at = len(at.tokens) - 1
    elif token.text in ABOUT and at.peek(1).kind == "number":
        at.at += 1
    elif token.text == "w" and at.word(1) == "/":
        names.close()
        at.at += 2
    elif token.kind == "quoted":
        names.quoted(at)
    elif token.text == "then":
        if at.word(1) not in _THEN and not (told.resting and not {"minutes"} & set(told.facts)):
            raise _two(told)
        at.at += 1
    elif token.text in ("no", "without") and (words := names.known(at, 1)):
        names.close()
        told.note(at.text(at.at, at.at + 1 + words))
        at.at += 1 + words
    elif token.text in ("on", "onto", "upon") and names.known(at, 1):
        raise told.refuse(
            f"'{at.text(at.at, at.at + 1 + names.known(at, 1))}' was there before; write it as a "
            "line of its own, in their order."
        )
    elif token.text in _ADVERBS:
        told.note(at.part_text(token.part))
        if at.word(1) == "to":
            told.facts["raised in"] = token.part
        at.at += 1
    elif token.text in ("-", "–", "—", "−"):
        if at.peek(1).kind == "number" and at.glued(1):
            raise told.refuse(f"'{at.text(at.at, at.at + 2)}' is less than nothing, or a range.")
        names.close()
        at.at += 1
    elif _another_treatment(at, first, begun):
        raise _two(told)
    elif first and token.text in _WORK and not _is_name(at) and not _names_some(at):
        names.close()
        told.note(at.part_text(token.part))
        while at.peek().kind != "end" and at.peek().part == token.part:
            at.at += 1
    elif at.word() == "(":
        _bracket(at, told, names, begun)
    elif _reads(at, told, names):
        pass
    elif token.kind == "number" and begun in ("rinse", "wash", "dry") and at.peek(1).kind == "word":
        told.note(at.part_text(token.part))  # 3 changes of water
        at.at += 2
    elif told.vat and [at.peek(i).text for i in range(5)] == ["1", "-", "2", "-", "3"]:
        told.note("1-2-3")  # parts of indigo, lime and fructose
        at.at += 5
    elif token.kind == "number" and at.word(1) in UNWEIGHED:
        raise told.refuse(unweighed(at))
    elif token.kind == "number":
        raise told.refuse(
            f"{at.part_text(token.part)} cannot be read: {token.text} of what? Write a unit with "
            "each number, such as 12 %, 80 C, 60 min or pH 6."
        )
    elif token.text in ("=", "*", "•"):
        names.close()
        at.at += 1
    elif token.kind == "sign":
        raise told.refuse(f"'{token.text}' cannot be read; write it in words, or as note: ...")
    else:
        names.word(at)


def _bracket(at: Cursor, told: Told, names: Names, begun: str) -> None:
    """Read what stands in brackets: a form, a lot, a code, or all that a line may hold.

    What holds neither an amount nor a fact, and no material beside those named, is a remark.
    """
    first, after = names.bracket(at)
    end = at.at
    at.at = first
    while at.at < after:
        start = at.at
        stop = next((i for i in range(start, after) if at.tokens[i].text in (",", ";")), after)
        if stop > start and not names.in_bracket(at, stop):
            at.at = start
            if _tells(at, stop, told, names):
                told.bracket = True
                while at.at < stop:
                    _next(at, told, names, begun)
                if names.open is not None and not names.open.words:
                    names.close()
                told.bracket = False
            else:
                told.note(at.text(start, stop))
        at.at = stop + 1
    at.at = end


def _tells(at: Cursor, stop: int, told: Told, names: Names) -> bool:
    """Whether a remark up to a token holds a number with its unit, or a material not yet named."""
    there = at.tokens[at.at : stop]
    units = (*MINUTES, *GRAMS, *LITRES, *MILLILITRES, "%", "c", "f", "°", ":", "degrees", "percent")
    if any(a.kind == "number" and b.text in units for a, b in pairwise(there)):
        return True
    if at.word() == "ph" or tuple(t.text for t in there) in {*HEAT_AS, ("overnight",)}:
        return True
    here = [*told.named, *([names.open] if names.open is not None else [])]
    before = {material_of(n.words) for n in here}
    if len(there) == 1 and any(
        (named := material_of(f"{there[0].text} {n.words}")) is not None and named in before
        for n in here
    ):
        return False  # alum (potash)
    return any(
        t.kind == "word" and material_of(t.text) not in before | {None} and not t.text.endswith(".")
        for t in there
    )


def _reads(at: Cursor, told: Told, names: Names) -> bool:
    """Whether a fact, an amount, a form or a known name stands here; it is then stepped over."""
    if _ramp(at, told) or fibre(at, told) or on_fibre(at, told):
        return True
    if names.amount(at):
        return True
    if vessel(at, told):
        names.close()
        return True
    if at.take("tannin", "first") or at.take("tannin", "bath"):
        told.tannin = True
        names.close()
        return True
    if at.word() not in UNWEIGHED and names.phrase(at):
        return True
    for rule in RULES:
        if rule(at, told):
            names.close()
            return True
    if at.take("vat"):
        told.vat = True
        if names.open is not None and not names.open.has_amount:
            names.open.reducer = True
        names.close()
        return True
    return names.lot(at) or names.form(at)


def _ramp(at: Cursor, told: Told) -> bool:
    """raise to 80 C over 45 min: the heat is a fact, how long it took to get there is a note."""
    start = at.at
    if at.take_any(_RAISE):
        while at.take_any(("up", "it", *_ADVERBS)):
            pass
        bound = at.word() == "to" and at.peek(1).kind == "number" and at.word(2) in ("%", *GRAMS)
        if bound:
            raise told.refuse(f"'{at.text(start, at.at + 3)}' is a bound; give the amount it was.")
        if not at.take("to") and at.peek().kind != "number":
            at.at = start  # 1 h to heat up is no time at the heat
            return False
        at.take_any(("the", "a"))
        told.facts["raised in"] = at.peek().part
        return True
    if at.take_any(("over", "in", "within", "during")):
        if told.facts.get("raised in") == at.peek().part and time(at) is not None:
            told.note(at.part_text(at.tokens[start].part))
            return True
        at.at = start
    return False


def _is_name(at: Cursor) -> bool:
    """Whether a word of work begins a part with an amount, such as cool 5 %."""
    return at.peek(1).kind == "number" and at.word(2) not in MINUTES


def _names_some(at: Cursor) -> bool:
    """Whether something known is named in the rest of this part, so that it is no mere remark."""
    rest = [t for t in at.tokens[at.at + 1 :] if t.part == at.peek().part]
    if at.word() in ("stirred", "stir", "covered", "turned", "lid") and any(
        a.kind == "number" and b.text in ("c", "f", "°") for a, b in pairwise(rest)
    ):
        return True  # stirred at 60 C
    return any(t.text == "%" or (t.kind == "word" and uses_of(t.text)) for t in rest)


def _another_treatment(at: Cursor, first: bool, begun: str) -> bool:
    """Whether a second treatment begins here."""
    word = at.word()
    if word not in BEGIN or word in ("dip", "dipped", "vat", "after", "shift", "dyebath"):
        begins = word in ("dip", "vat", "after") and at.word(1) == ":"
        return begins and bool(begun or at.peek().part)
    if at.word(1) == ":":
        return True
    kind = BEGIN[word]
    if kind == "dry" or not first:
        return False
    if begun in ("", "mordant") and kind == "tannin" and at.word(1) in ("first", "bath"):
        return False
    same = {"tannin": "mordant"}.get(kind, kind) == begun
    return not same and not uses_of(f"{word} {at.word(1)}")


def _two(told: Told) -> BadValue:
    return told.refuse(
        "two treatments are told in one line; write each on a line of its own, in their order."
    )


def _kind_by_material(told: Told) -> str:
    """The treatment that the first material of a line tells, where its beginning does not."""
    for named in told.named:
        uses = uses_of(named.words)
        if told.tannin and "tannin" in uses:
            return "mordant"
        if "dyestuff" in uses and "tannin" not in uses and "mordant" not in uses:
            return "dye"
        if uses == {"mordant"} or uses == {"tannin"}:
            told.tannin |= uses == {"tannin"}
            return "mordant"
        break
    ways = "mordant:, dye:, vat:, after-bath:, scour:, rinse: or wash:"
    raise told.refuse(
        f"it begins with no treatment, and the material tells none. Begin with {ways}, such as "
        "dye: weld 80 %, 80 C, 1 h."
    )
