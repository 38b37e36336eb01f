"""What to dye next: the baths that would teach most, chosen one by one.

With a target, each is the bath whose pot is expected to improve most on the best seen so far
(expected improvement, Mockus 1975); its expected colour is then believed and the next one chosen,
so that three pots dyed together do not test one thing. Without a target, each is the bath about
which most is still open, within what was dyed: the thin places.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike

from ..colorimetry.difference import delta_e2000
from ..colorimetry.lab import Array
from ..colorimetry.measured import Measurement
from .asked import Limits, Wanted, read_count, read_seed, read_target, read_tolerance
from .candidates import Bath, kind_of
from .encode import Factors
from .gp import Posterior
from .learn import Learnt
from .suggest import (
    Caution,
    distinct,
    draws_of,
    encode,
    ideas_of,
    space_for,
)

if TYPE_CHECKING:
    from .model import ShadeModel

__all__ = ["NextSample", "next_samples"]

# Baths looked at, kept by expected colour, and draws; from trials on a made-up dye house.
_TRIED, _KEPT, _DRAWS = 1200, 300, 64


@dataclass(frozen=True, eq=False)
class NextSample:
    """One bath to dye next, and why.

    conditions : column -> value. lab (3,), pot_covariance (3, 3) : what is expected of it. gain :
    how much nearer to the target the pot is expected to come (CIEDE2000), or without a target the
    share, 0 to 1, of what is open about it. delta_e2000, chance_within : as in a suggestion, None
    without a target. outside, unsure, reasons, cautions : as in a suggestion.
    """

    conditions: dict[str, Any]
    why: str
    gain: float
    lab: Array
    pot_covariance: Array
    delta_e2000: float | None
    chance_within: float | None
    outside: bool
    unsure: bool
    reasons: tuple[str, ...]
    cautions: tuple[Caution, ...]

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "cautions": [c.as_dict() for c in self.cautions],
            "conditions": dict(self.conditions),
            "why": self.why,
            "gain": self.gain,
            "lab": self.lab.tolist(),
            "pot_covariance": self.pot_covariance.tolist(),
            "delta_e2000": self.delta_e2000,
            "chance_within": self.chance_within,
            "outside": self.outside,
            "unsure": self.unsure,
            "reasons": list(self.reasons),
        }


def next_samples(
    model: ShadeModel,
    k: int = 3,
    *,
    target: ArrayLike | Measurement | None = None,
    limits: Limits | None = None,
    tolerance: float = 2.0,
    seed: int = 0,
) -> list[NextSample]:
    """Up to k baths to dye together, best first; see the module. Raises as `suggest` does."""
    k, tolerance = read_count(k), read_tolerance(tolerance)
    wanted = read_target(target) if target is not None else None
    space = space_for(
        model, None if wanted is None else wanted.lab, limits, None, within=not wanted
    )
    rng = np.random.default_rng(read_seed(seed))
    baths = distinct(space.draw(_TRIED, rng))
    if not baths:
        raise space.why_none()
    f = encode(model, baths)[1]
    if wanted is not None:
        far = delta_e2000(model._learnt.to_lab(model._learnt.posterior.mean(f)), wanted.lab)
        keep = np.argsort(far, kind="stable")[:_KEPT]
        baths, f = [baths[i] for i in keep], f.take(keep)
    chosen, gains = _one_by_one(model, f, baths, wanted, k, rng)
    picked = [baths[i] for i in chosen]
    # Without a target the grey middle stands in; what is said about it is dropped below.
    shown = wanted or Wanted(np.array([50.0, 0.0, 0.0]), np.zeros((3, 3)), None)
    ideas = ideas_of(model, picked, shown, tolerance, seed)
    return [
        NextSample(
            conditions=idea.conditions,
            why=_why(model, bath, gain, wanted is not None),
            gain=gain,
            lab=idea.lab,
            pot_covariance=idea.pot_covariance,
            delta_e2000=None if wanted is None else idea.delta_e2000,
            chance_within=None if wanted is None else idea.chance_within,
            outside=idea.outside,
            unsure=idea.unsure,
            reasons=idea.reasons,
            cautions=idea.cautions,
        )
        for idea, bath, gain in zip(ideas, picked, gains, strict=True)
    ]


def _one_by_one(
    model: ShadeModel,
    f: Factors,
    baths: list[Bath],
    wanted: Wanted | None,
    k: int,
    rng: np.random.Generator,
) -> tuple[list[int], list[float]]:
    unit = rng.standard_normal((_DRAWS, 3))
    unit = np.concatenate([unit, -unit])
    learnt = model._learnt
    best = np.inf
    if wanted is not None:
        seen = draws_of(model, model._f, unit, pots=False)[1]
        best = float(delta_e2000(seen, wanted.lab).mean(axis=1).min())
    chosen: list[int] = []
    gains: list[float] = []
    for _ in range(min(k, len(baths))):
        if wanted is not None:
            far = delta_e2000(draws_of(model, f, unit, pots=False, learnt=learnt)[1], wanted.lab)
            gain = np.maximum(best - far, 0).mean(axis=1)
        else:
            far = None
            gain = learnt.posterior.at(f)[2]
        gain = gain.copy()
        gain[chosen] = -np.inf
        i = int(np.argmax(gain))
        chosen.append(i)
        gains.append(max(float(gain[i]), 0.0))
        if far is not None:
            best = min(best, float(far[i].mean()))
        learnt = _believe(learnt, f.take(np.array([i])))
    return chosen, gains


def _believe(learnt: Learnt, f: Factors) -> Learnt:
    """As if the bath had been dyed and gave its expected colour, read as usual."""
    old = learnt.posterior
    z = np.concatenate([old.z, old.at(f)[0]])
    n = len(old.z)
    pots = np.eye(n + 1)
    pots[:n, :n] = old.pots
    if old.separate:
        noise = np.r_[old.noise, np.median(old.noise)]
    else:
        noise = np.zeros((3 * n + 3, 3 * n + 3))
        noise[: 3 * n, : 3 * n] = old.noise
        blocks = old.noise.reshape(n, 3, n, 3)[np.arange(n), :, np.arange(n)]
        noise[3 * n :, 3 * n :] = np.median(blocks, axis=0)
        noise[3 * n :, 3 * n :] = np.diag(np.diag(noise[3 * n :, 3 * n :]))
    posterior = Posterior(learnt.hyper, old.f.joined(f), z, pots, noise)
    return replace(learnt, posterior=posterior)


def _why(model: ShadeModel, bath: Bath, gain: float, target: bool) -> str:
    kind = kind_of(bath)
    rows = model._table.to_dict("records")
    like = sum(kind_of({str(n): v for n, v in row.items()}) == kind for row in rows)
    seen = (
        "nothing of this kind has been dyed"
        if like == 0
        else f"{like} of this kind {'has' if like == 1 else 'have'} been dyed"
    )
    if target:
        return f"It may come {gain:.1f} nearer to the shade than the best so far; {seen}."
    return f"{round(100 * gain)} % of what its colour could be is still open; {seen}."
