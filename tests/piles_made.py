"""Invented piles of readings to be sorted."""

import numpy as np

import swatchbath as sb


def pile(n, seed=0, degrees=np.inf, families=6, spread=0.8):
    """n invented readings of a few shades in three photos of one camera."""
    rng = np.random.default_rng(seed)
    shades = rng.uniform([30, -20, -10], [85, 40, 60], (families, 3))
    camera = rng.normal(0, 1, (3, 6))
    out = []
    for k in range(n):
        own = rng.normal(0, 0.15, (3, 3))
        shared = {"camera:c": camera, f"photo:p{k % 3}": 0.3 * np.eye(3)}
        out.append(
            sb.Measurement(
                shades[k % families] + rng.normal(0, spread, 3), own @ own.T + 0.05 * np.eye(3),
                rung="card", photo=f"p{k % 3}", shared=shared, degrees=degrees,
            )
        )  # fmt: skip
    return out
