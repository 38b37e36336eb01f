"""A target is asked for in the record's frame, as far as the record's readings tell of its own."""

import numpy as np
import pandas as pd
import pytest

from baths_made import record
from swatchbath.colorimetry import Measurement
from swatchbath.predict import ShadeModel
from swatchbath.predict.search.request import in_frame_of, parse_target

SHIFT = np.array([4.0, -3.0, 5.0])
OWN = 0.1 * np.eye(3)
WANTED = np.array([67.0, -6.0, 52.0])


def reading(lab, photo, sd=5.0, **more):
    return Measurement(lab, OWN, shared={f"photo:{photo}": sd * np.eye(3)}, photo=photo, **more)


@pytest.fixture(scope="module")
def model():
    """A house read in fair photos, four of whose swatches were read again in one that is off."""
    table, labs = record()
    rows = list(range(0, len(labs), 7))[:4]
    again = table.iloc[rows].assign(photo="odd")
    first = table.assign(photo=[f"p{i // 6}" for i in range(len(labs))])
    measured = [reading(x, f"p{i // 6}", sd=0.5) for i, x in enumerate(labs)]
    measured += [reading(labs[i] + SHIFT, "odd") for i in rows]
    both = pd.concat([first, again], ignore_index=True)
    both["swatch"] = both["lot"] = [f"s{i}" for i in [*range(len(labs)), *rows]]
    return ShadeModel().fit(both, measured)


def test_what_its_photo_is_off_by_is_taken_off_and_no_longer_in_doubt(model):
    target = parse_target(reading(WANTED + SHIFT, "odd"))
    placed = in_frame_of(target, model.fit_.regression)
    assert np.linalg.norm(placed.lab - WANTED) < 0.25 * np.linalg.norm(SHIFT)
    assert np.trace(placed.covariance) < 0.25 * np.trace(target.covariance)
    taken = np.linalg.eigvalsh(target.covariance - placed.covariance)
    assert taken.min() > -1e-9 and np.linalg.eigvalsh(placed.covariance).min() > 0
    assert placed.measurement is target.measurement  # its sources still are the reading's


def test_a_target_in_a_new_frame_or_taken_as_exact_stays_as_it_is(model):
    for asked in (reading(WANTED, "new"), Measurement(WANTED), WANTED):
        target = parse_target(asked)
        assert in_frame_of(target, model.fit_.regression) is target


def test_of_what_is_off_in_every_photo_alike_nothing_is_told(model):
    """The camera's error is in all that was learnt: colours stay those that it gives."""
    table, labs = record()
    shared = {"camera:hers": 3 * np.eye(3)}
    measured = [Measurement(x, OWN, shared=shared, photo=f"p{i // 6}") for i, x in enumerate(labs)]
    fit = ShadeModel().fit(table.assign(photo=[m.photo for m in measured]), measured).fit_
    target = parse_target(Measurement(WANTED, OWN, shared=shared, photo="new"))
    assert in_frame_of(target, fit.regression) is target


def test_a_source_described_otherwise_tells_nothing(model):
    odd = Measurement(WANTED, OWN, shared={"photo:odd": np.ones((3, 2))}, photo="odd")
    target = parse_target(odd)
    assert in_frame_of(target, model.fit_.regression) is target


def test_suggestions_and_samples_are_for_the_shade_in_the_records_frame(model):
    off = model.suggest(reading(WANTED + SHIFT, "odd"), k=1)[0]
    exact = model.suggest(WANTED, k=1)[0]
    astray = model.suggest(reading(WANTED + SHIFT, "new"), k=1)[0]
    assert np.linalg.norm(off.lab - exact.lab) < 0.5 * np.linalg.norm(astray.lab - exact.lab)
    assert off.chance_within > astray.chance_within
    sample = model.next_samples(1, target=reading(WANTED + SHIFT, "odd"))[0]
    assert np.isfinite(sample.delta_e2000)
