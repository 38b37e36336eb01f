"""What stands in for an empty cell: the like swatches, as far as they are enough to say it."""

import numpy as np

from swatchbath.predict.features.imputation import Usual, like_keys

NAMES = ("fibre", "dyestuff", "modifier")


def usual(pH, dyes):
    n = len(pH)
    words = {"fibre": ["wool"] * n, "dyestuff": dyes, "modifier": ["none"] * n}
    return Usual.learn(np.array(pH)[:, None], words, NAMES), like_keys(words, n)


def test_two_that_agree_do_not_settle_it_and_twenty_do():
    rng = np.random.default_rng(0)
    wide = rng.uniform(0, 1, 40).tolist()
    few, keys = usual([*wide, 0.9, 0.9], ["weld"] * 40 + ["madder"] * 2)
    many, _ = usual([*wide, *[0.9] * 20], ["weld"] * 40 + ["madder"] * 20)
    middle, spread = few.numbers(keys[-1])
    assert 0.5 < middle[0] < 0.9 and spread[0] > 0.15
    sure, narrow = many.numbers(keys[-1])
    assert sure[0] > middle[0] and narrow[0] < spread[0]


def test_what_never_varies_is_no_doubt():
    same, keys = usual([0.5] * 8, ["weld"] * 4 + ["madder"] * 4)
    middle, spread = same.numbers(keys[0])
    assert middle[0] == 0.5 and spread[0] == 0.0


def test_an_unknown_group_takes_what_is_usual_of_all():
    known, keys = usual([0.2, 0.4, 0.6, np.nan], ["weld"] * 3 + ["madder"])
    middle, spread = known.numbers(keys[3])
    assert abs(middle[0] - 0.4) < 1e-9 and spread[0] > 0
