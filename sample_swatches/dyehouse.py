"""The invented dye house: from a bath to the reflectance of the dried fibre.

uptake (amount, affinity, mordant, heat, time) -> absorption (acid and base form, alum lake, iron
lake, browning) -> Kubelka-Munk reflectance -> CIELAB (D65, 2 degree observer).

Nothing here is measured on a real dyestuff. The shapes are chosen so that what dyers commonly
report can be seen: iron darkens, dulls and turns yellows green; alkali takes yellows to gold;
madder browns above about 70 C; less mordant is paler; reds of madder move with pH; more dyestuff
is deeper, less and less so. Every number below is invented for that purpose unless said otherwise.
"""

import math

import numpy as np
from house_spectra import GRID, reflectance_to_lab

DYESTUFFS = ("weld", "madder", "walnut hull")
FIBRES = ("wool", "silk", "cotton")
PROTEIN = ("wool", "silk")

# Undyed fibre: reflectance at the red end, depth and reach (nm) of its own yellow, uptake of
# the dye, white glint of the fibre surface.
_FIBRE = {
    "wool": {"white": 0.76, "yellow": 0.34, "reach": 62.0, "affinity": 1.00, "glint": 0.012},
    "silk": {"white": 0.83, "yellow": 0.20, "reach": 55.0, "affinity": 0.80, "glint": 0.018},
    "cotton": {"white": 0.86, "yellow": 0.12, "reach": 50.0, "affinity": 0.55, "glint": 0.012},
}

# Bands are (peak nm, width nm, height). `bare` is the share of uptake left without a mordant;
# `half` the % owf that gives half of the deepest shade; `iron` bands are those of the iron lake.
_DYE = {
    "weld": {
        "acid": [(372, 40, 1.30), (398, 26, 0.30)],
        "base": [(392, 42, 1.45), (432, 32, 0.55)],
        "pk": 7.4, "slope": 0.55, "alum_nm": 10.0, "bare": 0.20, "half": 55.0, "deepest": 18.0,
        "tail": 0.034, "reach": 120.0, "rate": 0.040,
        "iron": [(402, 55, 0.64), (662, 84, 0.20), (580, 72, 0.09)], "iron_keeps": 0.66,
        "brown_from": 91.0,
    },
    "madder": {
        "acid": [(446, 46, 0.86), (500, 32, 0.42)],
        "base": [(500, 40, 0.92), (540, 30, 0.66)],
        "pk": 6.6, "slope": 0.42, "alum_nm": 9.0, "bare": 0.24, "half": 48.0, "deepest": 16.0,
        "tail": 0.045, "reach": 170.0, "rate": 0.045,
        "iron": [(515, 80, 0.60), (600, 75, 0.26), (420, 90, 0.22)], "iron_keeps": 0.45,
        "brown_from": 70.0,
    },
    "walnut hull": {
        "acid": [(400, 75, 0.62), (480, 90, 0.28)],
        "base": [(400, 80, 0.62), (500, 95, 0.36)],
        "pk": 7.6, "slope": 0.45, "alum_nm": 3.0, "bare": 0.80, "half": 60.0, "deepest": 13.0,
        "tail": 0.34, "reach": 190.0, "rate": 0.030,
        "iron": [(560, 130, 0.55), (420, 120, 0.42)], "iron_keeps": 0.66,
        "brown_from": 99.0,
    },
}  # fmt: skip

# Deliveries of dyestuff, oldest first: strength, shift of the peaks (nm), brown it brings along.
_LOTS = {
    "weld": {"W25": (1.0, 0.0, 0.0)},
    "madder": {"M24": (1.0, 0.0, 0.0), "M25": (0.70, -5.0, 0.06)},
    "walnut hull": {"H25": (1.0, 0.0, 0.0)},
}

# What a pot does by itself, as standard deviations; set so that two pots of one recipe differ
# from the recipe's own colour by about 1 CIEDE2000 in the median (checked in the tests).
POT_SPREAD = {
    "pH": 0.20, "temperature_C": 2.4, "strength": 0.13, "mordant": 0.10, "nm": 1.5,
    "modifier": 0.12, "brown": 0.018,
}  # fmt: skip

_TANNIN_BASE = [(378, 45, 0.10)]
_USUAL_PH = {"vinegar": 4.0, "ash lye": 9.0, "iron": 5.5}


def _bands(bands, shift=0.0):
    return sum(h * np.exp(-0.5 * ((GRID - p - shift) / w) ** 2) for p, w, h in bands)


def _missing(value):
    return value is None or value == "" or (isinstance(value, float) and math.isnan(value))


def _number(conditions, column, usual):
    value = conditions.get(column)
    return usual if _missing(value) else float(value)


def _text(conditions, column, usual):
    value = conditions.get(column)
    return usual if _missing(value) else str(value)


def wet(reflectance):
    """The same fibre wet, (81,): light is lost in the water between the fibres (invented ratio).

    Wetting lowers scattering; here K/S grows by 1.9 and a little more white glint is lost.
    """
    r = np.clip(np.asarray(reflectance, float) - 0.006, 0.004, 0.99)
    k = 1.9 * (1 - r) ** 2 / (2 * r)
    return 1 + k - np.sqrt(k * k + 2 * k)


class House:
    """One dye house: its fibres, dyestuffs and ways, drawn from `seed`.

    House(0) is the house of the sample. Other seeds shift peaks, strengths, pK and rates, so each
    is a house of its own in which the same common practice holds.
    """

    def __init__(self, seed=0):
        rng = np.random.default_rng(np.random.SeedSequence([7301, int(seed)]))
        self.seed = int(seed)
        self.fibre = {name: dict(values) for name, values in _FIBRE.items()}
        for values in self.fibre.values():
            values["affinity"] *= math.exp(rng.normal(0, 0.06))
            values["yellow"] *= math.exp(rng.normal(0, 0.10))
            values["white"] *= math.exp(rng.normal(0, 0.010))
        self.dyestuff = {}
        for name, values in _DYE.items():
            own = dict(values)
            for key in ("deepest", "half", "rate", "tail"):
                own[key] *= math.exp(rng.normal(0, 0.10))
            own["nm"] = rng.normal(0, 2.5)
            own["pk"] += rng.normal(0, 0.15)
            own["stretch"] = math.exp(rng.normal(0, 0.05))
            self.dyestuff[name] = own
        self.lots = {name: dict(values) for name, values in _LOTS.items()}

    def pot(self, rng, *, size=1.0):
        """What one pot does by itself: {cause: deviation}. Swatches of one pot share it."""
        return {cause: float(size * rng.normal(0, sd)) for cause, sd in POT_SPREAD.items()}

    def reflectance(self, conditions, pot=None):
        """(81,) reflectance of the dried fibre for one row of conditions.

        `conditions` maps the condition columns to values; None, "" or a missing key means a
        sensible default (the newest dyestuff lot, 60 C for madder, and so on). `pot` is what
        `pot()` gives; None is the recipe without a pot's own spread. ValueError for a fibre,
        dyestuff, lot or after-bath that the house does not have.
        """
        fibre = _text(conditions, "fibre", "wool")
        if fibre not in self.fibre:
            raise ValueError(f"this house dyes {', '.join(FIBRES)}, not {fibre}")
        pot = pot or dict.fromkeys(POT_SPREAD, 0.0)
        state = self._after_dyeing(conditions, fibre, pot)
        base = self.fibre[fibre]
        # Alkali yellows wool and silk a little (common practice).
        alkali = max(state["pH"] - 8.0, 0.0) if fibre in PROTEIN else 0.0
        undyed = base["white"] - base["yellow"] * (1 + 0.2 * alkali) * np.exp(
            -(GRID - 380.0) / base["reach"]
        )
        undyed = np.clip(undyed, 0.03, 0.97)
        absorbed = (1 - undyed) ** 2 / (2 * undyed) + state["tannin"] * _bands(_TANNIN_BASE) * 4
        absorbed = absorbed + state["iron"] * (
            0.05 + 0.55 * state["tannin"] * np.exp(-(GRID - 380) / 420)
            + 0.10 * np.exp(-(GRID - 380.0) / 110.0)
        )  # fmt: skip
        for suffix in ("", "_2", "_3"):
            if not _missing(conditions.get("dyestuff" + suffix)) or suffix == "":
                absorbed = absorbed + self._dyed(conditions, suffix, fibre, state, pot)
        dry = 1 + absorbed - np.sqrt(absorbed * absorbed + 2 * absorbed)
        return base["glint"] + (1 - base["glint"]) * dry

    def true_lab(self, conditions):
        """(3,) CIELAB, D65 and 2 degree observer, of the recipe without a pot's own spread."""
        return reflectance_to_lab(self.reflectance(conditions))

    def dye(self, conditions, rng):
        """(3,) CIELAB of one pot dyed to the recipe, with the pot's own spread."""
        return reflectance_to_lab(self.reflectance(conditions, self.pot(rng)))

    def _after_dyeing(self, conditions, fibre, pot):
        """pH the dye is left at, share of iron (0 to 1), tannin (0 to 1) and mordant (0 to 1.2)."""
        ph = _number(conditions, "pH", 6.5 if fibre in PROTEIN else 7.0) + pot["pH"]
        bath_ph, iron = ph, 0.0
        steps = []
        for suffix in ("_3", "_2", ""):
            name = _text(conditions, "modifier" + suffix, "none")
            if name != "none":
                steps.append((name, suffix))
        for name, suffix in steps:
            if name not in _USUAL_PH:
                raise ValueError(f"this house has no after-bath of {name}")
            usual = 10.0 if name == "ash lye" and fibre == "cotton" else _USUAL_PH[name]
            to = _number(conditions, "modifier_pH" + suffix, usual)
            minutes = _number(conditions, "modifier_minutes" + suffix, 10.0)
            held = 1 - math.exp(-minutes / 5.0)
            pull = 0.2 if name == "iron" else 0.85
            ph += pull * held * math.exp(pot["modifier"]) * (to - ph)
            if name == "iron":
                owf = _number(conditions, "modifier_owf" + suffix, 2.0)
                iron += owf * math.exp(pot["modifier"]) * held
        ph += 0.2 * (_number(conditions, "wash_pH", 7.0) - ph)
        kind = _text(conditions, "mordant", "none")
        owf = _number(conditions, "mordant_owf", 15.0) * math.exp(pot["mordant"])
        if kind == "iron":
            iron += owf
        alum = 0.0 if kind == "none" else owf / (owf + 5.0) / 0.75
        tannin = 0.0
        if _text(conditions, "tannin", "none") != "none":
            owf = _number(conditions, "tannin_owf", 8.0)
            tannin = owf / (owf + 6.0)
        if fibre == "cotton":
            alum *= 0.55 + 0.80 * tannin
        return {
            "pH": ph, "bath_pH": bath_ph, "iron": iron / (iron + 1.1), "tannin": tannin,
            "alum": alum,
        }  # fmt: skip

    def _dyed(self, conditions, suffix, fibre, state, pot):
        """(81,) absorption over scattering that one dyestuff adds."""
        name = _text(conditions, "dyestuff" + suffix, "madder")
        if name not in self.dyestuff:
            raise ValueError(f"this house has {', '.join(DYESTUFFS)}, not {name}")
        own = self.dyestuff[name]
        lot = _text(conditions, "dyestuff_lot" + suffix, next(reversed(self.lots[name])))
        if lot not in self.lots[name]:
            raise ValueError(f"this house has no {name} of lot {lot}")
        strength, lot_nm, lot_brown = self.lots[name][lot]
        assist = _text(conditions, "assist", "none")
        owf = _number(conditions, "dye_owf" + suffix, 60.0) * strength
        owf *= math.exp(pot["strength"]) * 0.45 ** (_number(conditions, "bath_number", 1.0) - 1)
        if assist == "chalk" and name in ("weld", "madder"):
            owf *= 1.12
        celsius = _number(conditions, "temperature_C", 60.0 if name == "madder" else 75.0)
        celsius += pot["temperature_C"]
        minutes = _number(conditions, "minutes", 60.0)
        # First-order uptake, twice as fast for every 20 C or so.
        rate = own["rate"] * math.exp(0.030 * (celsius - 65.0))
        taken = own["deepest"] * owf / (owf + own["half"]) * (1 - math.exp(-rate * minutes))
        taken *= self.fibre[fibre]["affinity"] * (own["bare"] + (1 - own["bare"]) * state["alum"])
        if fibre in PROTEIN:  # wool and silk take up more from a slightly sour bath
            taken *= 1.12 - 0.22 / (1 + math.exp(-1.2 * (state["bath_pH"] - 6.5)))
        taken *= math.exp(-0.05 * max(state["pH"] - 8.5, 0.0))  # alkali strips a little
        base_form = 1 / (1 + 10 ** (own["slope"] * (own["pk"] - state["pH"])))
        shift = own["nm"] + lot_nm + pot["nm"] + own["alum_nm"] * (min(state["alum"], 1.0) - 1.0)
        if assist == "cream of tartar":
            shift -= 1.5
        stretched = {
            key: [(p, w * own["stretch"], h) for p, w, h in own[key]] for key in ("acid", "base")
        }
        clear = (1 - base_form) * _bands(stretched["acid"], shift)
        clear = clear + base_form * _bands(stretched["base"], shift)
        over = max(celsius - own["brown_from"], 0.0)
        hot = 1 - math.exp(-((over / 9.0) ** 1.3) * minutes / 60.0)
        brown = own["tail"] + lot_brown + max(pot["brown"], -own["tail"] / 2) + 0.42 * hot
        colour = (1 - 0.45 * hot) * clear + brown * np.exp(-(GRID - 400.0) / own["reach"])
        keeps = 1 - (1 - own["iron_keeps"]) * state["iron"]
        iron = state["iron"] * (1.0 if fibre in PROTEIN else 0.85)
        return taken * (keeps * colour + iron * _bands(own["iron"]))
