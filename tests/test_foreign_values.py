"""What no table or screen could pass in, from Python, is refused with a sentence of ours."""

import numpy as np
import pandas as pd
import pytest

import swatchbath as sb
from swatchbath.sample import sample_folder

RNG = np.random.default_rng(0)
TABLE = pd.DataFrame(
    {"fibre": "wool", "dyestuff": "weld", "dye_owf": RNG.uniform(20, 100, 20),
     "pH": RNG.uniform(4, 8, 20)}
)  # fmt: skip
LABS = np.stack([80 - TABLE.dye_owf / 10, -5 + 0 * TABLE.pH, 30 + TABLE.pH * 2], 1)
PHOTO = sample_folder() / "photos" / "photo_01.jpg"
PLACE = sb.Region(798, 900, 97)


@pytest.fixture(scope="module")
def model():
    return sb.ShadeModel().fit(TABLE, LABS)


@pytest.mark.parametrize(
    "call",
    [
        lambda m: sb.compare("red", [1, 2, 3]),
        lambda m: sb.compare(None, [1, 2, 3]),
        lambda m: sb.compare([1, 2, 3], [1, 2, 3], tolerance=None),
        lambda m: sb.compare([1, 2, 3], [1, 2, 3], tolerance="2"),
        lambda m: sb.compare([1, 2, 3], [1, 2, 3], level=None),
        lambda m: sb.ShadeModel().fit(None, LABS),
        lambda m: sb.ShadeModel().fit([1, 2], LABS),
        lambda m: sb.ShadeModel().fit(TABLE, None),
        lambda m: sb.ShadeModel().fit(TABLE, [sb.Measurement([1, 2, 3])] * 19 + [None]),
        lambda m: sb.ShadeModel().fit(TABLE, LABS, covariances="x"),
        lambda m: sb.ShadeModel(seed=-1).fit(TABLE, LABS),
        lambda m: sb.ShadeModel(seed="a").fit(TABLE, LABS),
        lambda m: m.suggest([60, 0, 40], limits=["a"]),
        lambda m: m.suggest([60, 0, 40], limits="a"),
        lambda m: m.suggest([60, 0, 40], rounding=["a"]),
        lambda m: m.suggest([60, 0, 40], seed=-1),
        lambda m: m.next_samples(1, seed="x"),
        lambda m: m.predict(None),
        lambda m: m.predict([1]),
        lambda m: sb.Measurement("abc"),
        lambda m: sb.Measurement([1, 2, 3], "x"),
        lambda m: sb.Measurement([1, 2, 3], shared=["x"]),
        lambda m: sb.Measurement([1, 2, 3], light="moon"),
        lambda m: sb.Measurement([1, 2, 3], observer="3"),
        lambda m: sb.measure(PHOTO, card="x", swatches={"a": PLACE}),
        lambda m: sb.measure(PHOTO, card=(798, 900, 97), swatches={"a": PLACE}),
        lambda m: sb.measure(PHOTO, card=sb.Card(PLACE), swatches=None),
        lambda m: sb.measure(PHOTO, card=sb.Card(PLACE), swatches={"a": (1, 2, 3)}),
        lambda m: sb.Card("here"),
    ],
)  # fmt: skip
def test_it_is_refused_in_a_sentence(model, call):
    with pytest.raises(sb.SwatchbathError) as refused:
        call(model)
    assert str(refused.value).endswith(".")
