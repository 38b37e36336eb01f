"""With many swatches a bath is answered from those nearby: nearly as from all, the same alone as
among others, and readings keep their doubt."""

import numpy as np
import pytest

from big_record import big_record
from swatchbath.colorimetry import delta_e2000
from swatchbath.predict import ShadeModel
from swatchbath.predict.features.encoder import Encoder
from swatchbath.predict.regression.gp import Posterior
from swatchbath.predict.regression.local_gp import IN_CELL, LocalPosterior, cells_of
from swatchbath.predict.regression.observations import WHOLE_ROWS


@pytest.fixture(scope="module")
def big():
    table, lab = big_record(700)
    cov = np.repeat(0.3 * np.eye(3)[None], len(lab), 0)
    return table, lab, ShadeModel().fit(table, lab, covariances=cov)


def test_it_answers_nearly_as_the_whole_does(big):
    table, lab, model = big
    got = model.fit_.regression.posterior
    assert isinstance(got, LocalPosterior)
    whole = Posterior(got.h, got.f, got.z, np.eye(len(got.z)), got.noise)
    new, _ = big_record(60, seed=3)
    f = model.fit_.encoder.encode(new)
    near, _, _ = got.at(f)
    far = delta_e2000(
        model.fit_.regression.to_lab(near), model.fit_.regression.to_lab(whole.at(f)[0])
    )
    assert np.median(far) < 0.3 and far.max() < 1.5


def test_a_bath_is_answered_the_same_alone_and_among_others(big):
    _, _, model = big
    new, _ = big_record(30, seed=4)
    together = model.predict(new).lab
    alone = np.concatenate([model.predict(new.iloc[[i]]).lab for i in range(0, 30, 7)])
    assert np.allclose(alone, together[::7], atol=1e-9)


def test_what_baths_have_in_common_agrees_with_each_alone(big):
    _, _, model = big
    posterior = model.fit_.regression.posterior
    f = model.fit_.encoder.encode(big_record(30, seed=4)[0])
    joint = posterior.joint(f)
    cov, share = posterior.at(f)[1:]
    own = joint.reshape(30, 3, 30, 3)[np.arange(30), :, np.arange(30)]
    assert np.allclose(own, cov / (1 + 2 * share**2)[:, None, None], atol=1e-8)
    assert np.allclose(joint, joint.T) and np.linalg.eigvalsh(joint).min() > -1e-9


def test_an_error_of_the_readings_is_carried_as_the_mean_moves(big):
    table, _, model = big
    got, f = model.fit_.regression.posterior, model.fit_.encoder.encode(big_record(20, seed=4)[0])
    errors = np.random.default_rng(0).normal(0, 1, (len(got.z), 3, 1))
    moved = LocalPosterior(
        got.h, got.f, got.z + errors[:, :, 0], got.groups, got.noise, got.with_errors, got.sd
    )
    assert np.allclose(got.carried(f, errors)[:, :, 0], moved.at(f)[0] - got.at(f)[0])


def test_a_suggestion_foretells_what_predict_does(big):
    _, _, model = big
    wanted = big_record(1, seed=8)[1][0]
    idea = model.suggest(wanted, k=1)[0]
    assert np.allclose(model.predict(idea.conditions).lab[0], idea.lab, atol=1e-9)
    assert idea.delta_e2000 < 2
    assert len(model.next_samples(2, target=wanted)) == 2


def test_cells_hold_every_row_once_and_like_rows_together():
    where = np.random.default_rng(0).normal(size=(1000, 3)).round(1)
    cells = cells_of(where)
    assert np.array_equal(np.sort(np.concatenate(cells)), np.arange(1000))
    assert max(map(len, cells)) <= IN_CELL
    same = cells_of(np.zeros((400, 2)))
    assert len(same) == 1  # nothing to cut by


def test_encoder_and_limit_agree(big):
    table, _, model = big
    assert len(table) > WHOLE_ROWS
    assert Encoder.learn(model.fit_.table).numbers == model.fit_.encoder.numbers
