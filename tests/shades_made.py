"""Invented lots of a shade put on record, with readings by a camera that errs."""

import numpy as np

import swatchbath as sb
from library_made import a_photo
from swatchbath.bath.step import Material, Step

GOLD = np.array([62.0, 12.0, 48.0])


def dyed(delivery="W25", minutes=60.0, owf=80.0):
    """The dye step of one recipe."""
    return Step("dye", (Material("dyestuff", "weld", owf, "dried", delivery),), minutes=minutes)


def reading(lab, camera="a", error=(0, 0, 0), rung="card", noise=0.2):
    """As a camera reads it that is off by an error, of which 1.5 on each axis is not known, and
    another 0.4 of each photo; like colours share the first."""
    shared = {f"camera:{camera}": 1.5 * np.eye(3)}
    return sb.Measurement(
        np.asarray(lab) + error, noise**2 * np.eye(3), trueness=(1.5**2 + 0.16) * np.eye(3),
        shared=shared, rung=rung,
    )  # fmt: skip


def put_lot(lib, name, labs, *, day=None, camera="a", error=(0, 0, 0), photo=None, **bath):
    """Record a lot with a swatch for each Lab, read once; returns the codes."""
    lib.add_lot([dyed(**bath)], name=name, session=day)
    codes = []
    for lab in labs:
        codes.append(lib.add_swatch(lot=name, fibre={"fibre": "wool", "fibre_g": 10.0}))
        lib.add_measurement(codes[-1], reading(lab, camera, error), photo=photo)
    return codes


def photo_in(lib, folder, seed):
    """A photo on record; returns its id."""
    return lib.add_photo(a_photo(folder / f"p{seed}.png", seed))
