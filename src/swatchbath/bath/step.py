"""One treatment of the fibre, and what was in the pot."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, isnan
from numbers import Real
from typing import Any

from ..errors import BadValue

KINDS = ("scour", "mordant", "dye", "after-bath", "rinse", "wash", "dry")
ROLES = ("tannin", "mordant", "assist", "dyestuff", "modifier", "other")
PH_READ = ("strip", "meter")
_NUMBERS = (
    "pH", "temperature_C", "minutes", "liquor_ratio", "bath_number", "stock_days", "dips",
    "dip_minutes", "vat_days", "litres", "pH_end",
)  # fmt: skip
_WORDS = (
    "water", "vessel", "note", "pH_read", "vat", "typed", "heat", "duration", "pot", "vat_with",
)  # fmt: skip


@dataclass(frozen=True)
class Material:
    """Something in a pot; None stands for what is not known.

    Attributes
    ----------
    role, name : str
        What it is for (dyestuff, mordant ...), and its name.
    owf : float or None
        Per cent of the dry fibre's weight.
    form : str or None
        Dried, fresh, extract ...
    lot : str or None
        Of a dyestuff its delivery, of a home-made liquor the jar.
    how_known : bool
        False for a dyestuff of which it is not known whether it went in together with the one
        before it or over it.
    strip : str or None
        The swatch of a test strip dipped in a home-made liquor, whose strength nobody measured.
    told : str or None
        The amount as told, where that was no percentage: "2 g/l", "40 ml of 1 %".

    Examples
    --------
    >>> Material("dyestuff", "weld", 80.0, "dried").owf
    80.0
    """

    role: str
    name: str
    owf: float | None = None
    form: str | None = None
    lot: str | None = None
    how_known: bool = True
    strip: str | None = None
    told: str | None = None

    def __post_init__(self) -> None:
        if self.role not in ROLES:
            raise BadValue(f"'{self.role}' is no use of a material; use {', '.join(ROLES)}.")
        if not isinstance(self.name, str) or not self.name.strip():
            raise BadValue(f"A material needs a name in words, such as alum; not {self.name!r}.")
        _check_number(self.owf, f"The amount of {self.name}")
        for what, word in (("form", self.form), ("lot", self.lot), ("test strip", self.strip),
                           ("told amount", self.told)):  # fmt: skip
            _check_word(word, f"The {what} of {self.name}")


@dataclass(frozen=True)
class Step:
    """One treatment of the fibre; None stands for what is not known.

    Attributes
    ----------
    kind : str
        scour, mordant, dye, after-bath, rinse, wash or dry.
    materials : tuple of Material
    pH, pH_end, pH_read
        pH as read, and when the fibre came out; how it was read: strip or meter.
    temperature_C, minutes : float or None
    heat, duration : str or None
        The words those were told in, where they were no numbers ("simmer", "overnight").
    liquor_ratio, litres : float or None
        Litres for each kg of fibre; litres of water, as told.
    bath_number, stock_days : float or None
        1 for a fresh bath; the age of the stock it was made of.
    water, vessel, note : str or None
    vat, vat_with, vat_days, dips, dip_minutes
        Of a vat, which never has an amount owf: what it was reduced with, what else was in it
        (lime, soda), its age, how often and how long the fibre was dipped.
    pot : str or None
        The pot whose liquor it is, for a second bath.
    typed : str
        The line it was typed as, if it was.

    Examples
    --------
    >>> Step("dye", (Material("dyestuff", "weld", 80.0),), pH=6.0).is_vat
    False
    """

    kind: str
    materials: tuple[Material, ...] = ()
    pH: float | None = None
    temperature_C: float | None = None
    minutes: float | None = None
    liquor_ratio: float | None = None
    bath_number: float | None = None
    water: str | None = None
    vessel: str | None = None
    note: str = ""
    pH_read: str | None = None
    stock_days: float | None = None
    vat: str | None = None
    dips: float | None = None
    dip_minutes: float | None = None
    vat_days: float | None = None
    typed: str = ""
    heat: str | None = None
    duration: str | None = None
    litres: float | None = None
    pH_end: float | None = None
    pot: str | None = None
    vat_with: str | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise BadValue(f"'{self.kind}' is no step known here; use one of {', '.join(KINDS)}.")
        object.__setattr__(self, "materials", tuple(self.materials))
        for material in self.materials:
            if not isinstance(material, Material):
                raise BadValue(f"{material!r} is no Material; say Material(role, name, owf).")
        # Sentences are made only where one is needed: a table has many thousands of steps.
        for name in _WORDS:
            value = getattr(self, name)
            if value is not None and not isinstance(value, str):
                _check_word(value, f"The {name} of a {self.kind} step")
        for name in _NUMBERS:
            value = getattr(self, name)
            if value is not None:
                _check_number(value, f"The {name} of a {self.kind} step")
        if self.pH_read not in (None, *PH_READ):
            raise BadValue(f"pH is read by {' or '.join(PH_READ)}, not by '{self.pH_read}'.")
        if self._dipped() and self.kind != "dye":
            raise BadValue(f"Dips and a vat belong to a dye step, not to a {self.kind} step.")
        weighed = [m.name for m in self.materials if m.role == "dyestuff" and m.owf is not None]
        if self.is_vat and weighed:
            raise BadValue(
                f"{weighed[0]} was dyed in a vat, where an amount on the weight of fibre says "
                "nothing. Tell of the dips instead, and leave the amount out."
            )

    @property
    def is_vat(self) -> bool:
        """Whether the fibre was dipped in a vat."""
        return self.kind == "dye" and self._dipped()

    def _dipped(self) -> bool:
        return any(
            _known(v) for v in (self.vat, self.dips, self.dip_minutes, self.vat_days, self.vat_with)
        )


def _known(value: Any) -> bool:
    return value is not None and value == value


def _check_number(value: Any, what: str) -> None:
    if value is None:
        return
    if isinstance(value, bool) or not isinstance(value, Real):
        raise BadValue(f"{what} is {value!r}; give a number, or None where it is not known.")
    if not (isfinite(value) or isnan(value)):
        raise BadValue(f"{what} has no end; give a number, or None where it is not known.")


def _check_word(value: Any, what: str) -> None:
    if value is not None and not isinstance(value, str):
        raise BadValue(f"{what} is {value!r}; give a word, or None where it is not known.")
