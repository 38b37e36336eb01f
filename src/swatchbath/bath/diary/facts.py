"""The facts of a bath in a diary line: one rule each, which steps over what it reads.

pH       = "pH" number [strip | meter] ["->" number]
heat     = number "C" | "cold" | "simmer" | "boil" | "room temperature"
time     = number "h" | "overnight"
dips     = number "dips" ["of" time] | "dipped" number "times"
liquor   = "1:" number | number "l" ["of water"]
bath     = "second bath" | "bath" number | "exhaust" ["bath" number] ["of pot" CODE]
water    = "rainwater" | "hard water"
vessel   = ["in" "a"] words "pot" | "in steel"
lot      = "lot" CODE | "jar" CODE | "strip" CODE | NUMBER "harvest"
"""

from __future__ import annotations

from collections.abc import Callable

from ...conditions.vocabulary import WORDS, meaning

from .quantities import GRAMS, LITRES, MILLILITRES, MINUTES, ORDINALS, OVERNIGHT_MINUTES  # isort: skip
from .quantities import heat, number, time
from .tokens import Cursor
from .told import Told
from .vessels import WATERS, vessel, water

# Degrees of what is told in words: water boils at 100 C and a room has about 20; a simmer is taken
# as 90 C, the hottest that wool is held at (common practice, no source). Others are no number.
HEAT_WORDS: dict[str, float | None] = {
    "boil": 100.0, "simmer": 90.0, "room temperature": 20.0, "cold": 20.0,
    "lukewarm": None, "warm": None, "hot": None, "sun": None,
}  # fmt: skip
HEAT_AS = {
    ("room", "temperature"): "room temperature", ("room", "temp"): "room temperature",
    ("ambient", "temperature"): "room temperature", ("no", "heat"): "room temperature",
    ("without", "heat"): "room temperature", ("unheated",): "room temperature",
    ("rt",): "room temperature", ("cold",): "cold", ("simmer",): "simmer",
    ("simmered",): "simmer", ("simmering",): "simmer", ("boil",): "boil", ("boiled",): "boil",
    ("boiling",): "boil", ("lukewarm",): "lukewarm", ("hand", "warm"): "lukewarm",
    ("hand-warm",): "lukewarm", ("warm",): "warm", ("hot",): "hot",
    ("in", "the", "sun"): "sun", ("solar",): "sun",
}  # fmt: skip
_READ = {"strip": "strip", "strips": "strip", "paper": "strip", "litmus": "strip",
         "meter": "meter", "metre": "meter"}  # fmt: skip

# What makes a number after a bath no number of the bath: dye bath 60 C.
_UNITS = (*MINUTES, *GRAMS, *LITRES, *MILLILITRES, "%", "percent", "°", "c", "f", "deg",
          "degrees", ":", "/", "x")  # fmt: skip

Rule = Callable[[Cursor, Told], bool]


def acidity(at: Cursor, told: Told) -> bool:
    """pH 6, pH6 strip, pH 5 -> 6, start pH 5, end pH 6."""
    start = at.at
    at.take("to")
    at.take("adjusted")
    at.take("to")
    end = bool(at.take_any(("end", "final", "ending")))
    at.take_any(("start", "starting", "initial"))
    if not at.take("ph") or at.word() == "neutral" or at.word() == "-":
        at.at = start
        return False
    at.take_any(("=", ":", "at", "of", "about", "around", "~", "to"))
    value = number(at) if at.peek().kind == "number" else None
    if value is None:
        raise told.refuse("pH of how much? Write pH 6.")
    if at.word() in ("-", "–", "to", "or") and at.peek(1).kind == "number":
        raise told.refuse(
            f"{at.text(start, at.at + 2)} are two numbers; give the one that was read, or "
            "pH 5 -> 6 for the start and the end."
        )
    said = at.text(start)
    at.take_any(("at",))
    at.take_any(("the",))
    if at.take_any(("end", "finish")):
        end = True
    else:
        at.take_any(("start", "beginning"))
    told.fact("pH_end" if end else "pH", value, said)
    if at.take_any(("->", "→")):
        after = number(at)
        if after is None:
            raise told.refuse("the pH at the end is not a number; write pH 5 -> 6.")
        told.fact("pH_end", after, said)
    bracket = at.take("(")
    by = at.take_any(("by", "with", "from")) and at.take_any(("a", "the", "")) is not None
    if at.word() in _READ:
        told.fact("pH_read", _READ[at.take_any(tuple(_READ))], at.text(start))
        bracket = bracket and not at.take(")")
    elif by:
        at.at -= 1  # pH 4 with vinegar
    elif at.peek().kind == "word" and at.peek().part == at.peek(-1).part and _stray(at):
        raise told.refuse(f"pH is read by strip or meter, not by '{at.peek().text}'.")
    if bracket:
        at.at = at.at - 1 if at.peek(-1).text == "(" else at.at
    return True


def _stray(at: Cursor) -> bool:
    """Whether the word after a pH is the whole rest of its part, and nothing known."""
    after = at.peek(1)
    alone = after.kind == "end" or after.text in (",", ";")
    known = (at.word(),) in HEAT_AS or at.word() in ("overnight", "exhaust", "rainwater")
    return alone and not known and meaning("water", at.word()) not in WORDS["water"]


def warmth(at: Cursor, told: Told) -> bool:
    """80 C, 60°, simmer, cold, room temperature; 2 h at the boil."""
    start = at.at
    at.take_any(("at", "to"))
    at.take_any(("the", "a"))
    under = at.word() in ("below", "under", "not", "never", "max", "maximum", "over", "above")
    value = heat(at)
    if value is not None:
        told.fact("temperature_C", value, at.text(start))
        return True
    if under:
        at.at += 1
        at.take_any(("over", "above", "hotter", "than"))
        if heat(at) is not None:
            raise told.refuse(f"'{at.text(start)}' is a bound; give the heat it was held at.")
    else:
        for words, name in HEAT_AS.items():
            if at.take(*words):
                if at.word() == "extract" or (name == "cold" and at.word() == "wash"):
                    break
                at.take_any(("water",))
                told.fact("heat", name, at.text(start))
                return True
    at.at = start
    return False


def lasting(at: Cursor, told: Told) -> bool:
    """1 h, overnight, 3 days old, 10 min airing, 5 min a dip, left overnight to cool."""
    start = at.at
    led = at.take_any(("for", "held", "hold", "holding", "kept", "during", "steep", "steeped",
                       "soak", "soaked", "leave", "left", "stand", "stood", "standing", "stock",
                       "airing", "air", "aired"))  # fmt: skip
    if led in ("leave", "left") and (at.take("to", "cool") or at.take("to", "cool", "down")):
        told.note(at.part_text(at.tokens[start].part))
        at.take_any(("in",))
        at.take("the", "pot")
        return at.take("overnight") or time(at) is not None or True
    if led:
        at.take_any(("in", "it"))
        at.take("the", "pot") or at.take("the", "bath") or at.take("the", "dyebath")
    at.take_any(("for", "in", "it", "x"))
    night = at.take("overnight") or at.take("over", "night") or at.take("all", "night")
    minutes = OVERNIGHT_MINUTES if night else time(at)
    if minutes is None:
        at.at = start
        return False
    said = at.text(start)
    if led in ("airing", "air", "aired") or at.take_any(("airing", "air", "between", "apart")):
        at.take_any(("between",))
        at.take_any(("dips",))
        told.note(at.part_text(at.tokens[start].part))
        return True
    if at.take_any(("rest", "resting", "cooling")):
        told.note(at.part_text(at.tokens[start].part))
        return True
    if at.take("old") or at.take("of", "age") or led == "stock":
        at.take_any(("old",))
        at.take_any(("vat", "stock", "liquor"))
        told.fact("days", minutes / 1440, said)
        return True
    if at.take_any(("each", "apiece")) or at.take("per", "dip") or at.take("a", "dip") or (
        at.take("every", "dip") or at.take("per", "dipping")
    ):  # fmt: skip
        told.fact("dip_minutes", minutes, said)
        return True
    if at.take_any(("to", "in")) and (at.take_any(("cool", "cooling")) or at.take("the", "pot")):
        told.note(at.part_text(at.tokens[start].part))
        return True
    if led in ("leave", "left", "stand", "stood", "standing", "steep", "steeped", "soak", "soaked"):
        if at.take_any(("first", "before", "beforehand")) or told.resting is not None:
            told.note(at.part_text(at.tokens[start].part))
            return True
        told.resting = minutes
        if night:
            told.facts["resting word"] = "overnight"
        told.facts["resting said"] = said
        return True
    back = at.at
    at.take_any(("in",))
    if at.take_any(("total", "altogether", "all")) and (told.vat or "dips" in told.facts):
        raise told.refuse("a time of all dips together is told; write the length of one dip.")
    at.at = back
    if night:
        told.fact("duration", "overnight", said)
    told.fact("minutes", minutes, said)
    return True


def dips(at: Cursor, told: Told) -> bool:
    """3 dips of 10 min, dipped 4 times, 5 x 1 min; in three layers is asked back."""
    start = at.at
    verb = at.take_any(("dip", "dipped"))
    count: float | None = None
    if verb and at.take_any(("once", "twice")):
        count = 1.0 if at.peek(-1).text == "once" else 2.0
    elif at.peek().kind == "number" or at.word(1) in ("dip", "dips", "times", "layers", "coats"):
        count = number(at)
    if count is None:
        at.at = start
        return False
    if at.take_any(("layers", "layer", "coats", "coat")):
        raise told.refuse("layers of a mordant change its amount; write one line for each layer.")
    named = at.take_any(("dips", "dip", "dippings")) or (verb and at.take_any(("times", "x")))
    times = not named and at.word() == "x" and at.peek(1).kind == "number"
    if not named and not times and not (verb and at.peek(-1).text in ("once", "twice")):
        at.at = start
        return False
    if times and not told.vat:
        told.facts["times"] = at.part_text(at.peek().part)
    told.fact("dips", count, at.text(start))
    back = at.at
    at.take_any((",",))
    at.take_any(("of", "at", "x", "for", "@", "à", "a", ":"))
    length = time(at)
    if length is None or at.word() in ("airing", "air", "between", "old", "apart"):
        at.at = back
        return True
    more = at.word() in ("and", ",", "then") and at.peek(1).kind == "number"
    if more and at.word(2) in MINUTES and at.word(3) not in (
        "old", "airing", "air", "between", "apart"
    ):  # fmt: skip
        raise told.refuse("dips of two lengths are told; write one line for each length.")
    told.fact("dip_minutes", length, at.text(start))
    at.take_any(("each",))
    at.take("a", "dip")
    at.take("per", "dip")
    return True


def liquor(at: Cursor, told: Told) -> bool:
    """1:40, liquor 1:40, 6 l water, in 5 litres."""
    start = at.at
    led = bool(at.take_any(("liquor", "ratio", "lr", "mlr", "goods")))
    led |= bool(at.take_any(("ratio",)))
    at.take_any((":", "to"))
    at.take_any(("in", "goods", "fibre", "fiber"))
    at.take_any(("about", "ca"))
    one = number(at) if at.peek().kind == "number" else None
    if one is not None and at.word() in (":", "to") and at.peek(1).kind == "number":
        to = at.word() == "to"
        at.at += 1
        other = number(at) or 0.0
        low, high = sorted((one, other))
        if low == 1 and (led or (high >= 8 and (not to or _lone(at)))):
            told.fact("liquor_ratio", high, at.text(start))
            return True
        if led or (low == 1 and 5 < high < 8):
            raise told.refuse(f"{at.text(start)} is not clear; write liquor 1:{high:g}.")
    elif one is not None and at.word() in LITRES:
        unit = at.take_any(tuple(LITRES))
        if at.take("/") or at.take("per") or at.take("a"):
            if at.take_any(("kg", "kilo")):
                told.fact("liquor_ratio", one * LITRES[unit], at.text(start))
                return True
            at.at = start
            return False
        litres = float(f"{one * LITRES[unit]:.6g}")
        back = at.at
        at.take("of")
        if not (at.word() in ("water", "liquor") or at.word() in WATERS or at.at == back):
            at.at = start
            return False
        if at.take_any(("water", "liquor")) == "" and at.word() not in WATERS:
            at.at = back
        told.fact("litres", litres, at.text(start))
        return True
    at.at = start
    return False


def _lone(at: Cursor) -> bool:
    return at.peek().kind == "end" or at.word() in (",", ";", ")")


def bath(at: Cursor, told: Told) -> bool:
    """second bath of, bath 2, exhaust bath 2, first exhaust, fresh bath, of pot L12."""
    start = at.at
    at.take_any(("the",))
    value: float | None = None
    if at.word() in ORDINALS:
        value = float(ORDINALS[at.take_any(tuple(ORDINALS))])
    elif at.peek().kind == "number" and at.word(1) in ("st", "nd", "rd", "th") and at.glued(1):
        value = number(at)
        at.at += 1
    elif at.word() == "fresh" and at.word(1) in ("bath", "dyebath", "liquor"):
        at.at += 1
        value = 1.0
    ordinal = value is not None
    at.take_any(("dye",) if at.word(1) in ("bath", "pot") else ())
    used = at.take_any(("exhaust", "exhausted", "reused", "spent", "afterbath"))
    if used and value is not None and value > 1:
        raise told.refuse(
            "an exhaust bath is counted in two ways; write bath 2 for the first use after the "
            "fresh one, bath 3 for the next."
        )
    there = at.take_any(("bath", "dyebath", "liquor", "use") if ordinal or used else ("bath",
                        "dyebath"))  # fmt: skip
    if not there and not used:
        at.at = start
        return False
    if (used or there) and not ordinal:
        at.take_any(("no", "number", "nr", "#"))
        numbered = at.peek().kind == "number" and at.word(1) not in _UNITS
        value = number(at) if numbered else None
        if value is None and not used:
            at.at = start
            return False
    if used:
        told.facts["used"] = True  # the second one, where no number is told
    value = 2.0 if used and ordinal else value
    if value is not None:
        told.fact("bath_number", value, at.text(start))
    at.take_any(("of", "from"))
    _pot(at, told)
    return True


def pot(at: Cursor, told: Told) -> bool:
    """of pot L12, from pot L12."""
    start = at.at
    if at.take_any(("of", "from")) and _pot(at, told):
        return True
    at.at = start
    return False


def _pot(at: Cursor, told: Told) -> bool:
    start = at.at
    if at.take("pot") and (code := at.code()):
        told.fact("pot", code, at.text(start))
        return True
    at.at = start
    return False


# In the order they are tried; what stands for two things is read by the first that fits.
RULES: tuple[Rule, ...] = (acidity, dips, bath, pot, liquor, warmth, lasting, water, vessel)
