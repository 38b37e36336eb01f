"""A stored fit is put back whole, grows by a swatch, and is not trusted where it does not hold."""

import json

import numpy as np
import pandas as pd
import pytest

from baths_made import record
from swatchbath.predict import ShadeModel
from swatchbath.predict.regression.stored_fit import parse_fit


@pytest.fixture(scope="module")
def known():
    table, lab = record(40)
    cov = np.repeat(0.2 * np.eye(3)[None], len(lab), 0)
    model = ShadeModel().fit(table, lab, covariances=cov)
    return table, lab, cov, model, model.fitted()


def again(known, rows, text=None, seed=0, shift=0.0):
    table, lab, cov, _, stored = known
    return ShadeModel(seed=seed).fit(
        table.iloc[rows], lab[rows] + shift, covariances=cov[rows], stored=text or stored
    )


def test_it_is_put_back_as_it_was_however_the_table_is_sorted(known):
    table, _, _, model, _ = known
    rows = np.random.default_rng(1).permutation(len(table))
    back = again(known, rows)
    assert back.restored_
    one, two = model.predict(table), back.predict(table)
    assert np.array_equal(one.lab, two.lab)
    assert np.array_equal(one.covariance, two.covariance)
    assert np.array_equal(
        model.cross_validation_.lab[rows], back.cross_validation_.lab, equal_nan=True
    )
    assert back.cross_validation_.as_dict() == model.cross_validation_.as_dict()
    assert (
        back.suggest([67, -6, 52], k=1)[0].as_dict()["lab"]
        == (model.suggest([67, -6, 52], k=1)[0].as_dict()["lab"])
    )


def test_a_swatch_more_is_learnt_from_without_fitting_all_again(known):
    table, lab, cov, model, stored = known
    bath = table.iloc[[3]].assign(dye_owf=133.0, pH=5.5)
    more = pd.concat([table, bath], ignore_index=True)
    other = model.predict(bath).lab + [-1.5, 1.0, 1.0]
    grown = ShadeModel().fit(
        more, np.concatenate([lab, other]), covariances=np.concatenate([cov, cov[:1]]),
        stored=stored,
    )  # fmt: skip
    assert grown.restored_
    assert np.array_equal(grown.fit_.regression.hyper.pot, model.fit_.regression.hyper.pot)
    before, after = model.predict(bath).lab[0], grown.predict(bath).lab[0]
    assert np.linalg.norm(after - other[0]) < 0.8 * np.linalg.norm(before - other[0])
    assert np.isnan(grown.cross_validation_.delta_e2000[-1])
    assert any("1 of 41 swatches were added" in n for n in grown.notes_)


def test_a_swatch_that_the_others_do_not_explain_has_all_learnt_anew(known):
    """Scales that were learnt without it would make it count for too much."""
    table, lab, cov, _, stored = known
    more = pd.concat([table, table.iloc[[3]]], ignore_index=True)
    colours = np.concatenate([lab, [[40.0, 20.0, 10.0]]])
    doubt = np.concatenate([cov, cov[:1]])
    grown = ShadeModel().fit(more, colours, covariances=doubt, stored=stored)
    fresh = ShadeModel().fit(more, colours, covariances=doubt)
    assert not grown.restored_
    assert np.array_equal(grown.predict(table).lab, fresh.predict(table).lab)
    assert not any("were added" in note for note in grown.notes_)


def test_what_does_not_belong_is_not_used(known):
    rows = np.arange(40)
    assert not again(known, rows, shift=0.001).restored_  # a colour changed
    assert not again(known, rows[:-1]).restored_  # a swatch taken away
    assert not again(known, rows, seed=1).restored_
    assert again(known, rows).restored_


def test_growth_beyond_a_fifth_is_learnt_anew(known):
    table, lab, cov, _, stored = known
    extra, more = record(12, seed=9)
    grown = ShadeModel().fit(
        pd.concat([table, extra]), np.concatenate([lab, more]),
        covariances=np.concatenate([cov, cov[:12]]), stored=stored,
    )  # fmt: skip
    assert not grown.restored_


def test_another_programs_or_a_damaged_text_is_no_fit(known):
    stored = known[-1]
    assert parse_fit(stored) is not None
    told = json.loads(stored)
    for text in (
        "", "[]", "{}", "null", "\x00", stored[:-40],
        json.dumps(told | {"program": "another"}),
        json.dumps(told | {"fit": told["fit"].replace('"seed": 0', '"seed": 1')}),
        json.dumps(told | {"check": 3}),
    ):  # fmt: skip
        assert parse_fit(text) is None
        assert not again(known, np.arange(40), text=text or " ").restored_


def test_the_text_is_plain_json(known):
    told = json.loads(json.loads(known[-1])["fit"])
    assert len(told["keys"]) == 40 == len(set(told["keys"]))
