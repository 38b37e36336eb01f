"""ShadeModel as a scikit-learn regressor: its checks, cross-validation by group, pipelines."""

import pickle

import numpy as np
import pandas as pd
import pytest
from sklearn.base import clone, is_regressor
from sklearn.exceptions import NotFittedError
from sklearn.metrics import mean_absolute_error, r2_score
from sklearn.model_selection import (
    GridSearchCV,
    GroupKFold,
    LeaveOneGroupOut,
    cross_val_predict,
    cross_val_score,
)
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import FunctionTransformer
from sklearn.utils.estimator_checks import check_estimator
from sklearn.utils.validation import check_is_fitted

from swatchbath.colorimetry import Measurement
from swatchbath.errors import BadValue, ValueOutOfRange
from swatchbath.predict import ShadeModel

# scikit-learn's own checks that do not apply, each with the reason. They hand over arrays of
# numbers without names and a y of one column; our X is a table whose named columns say what a
# number means, and our y is Lab. What they are about is tested below on such a table.
ARRAY = "fits on an array of numbers without names; a bath's numbers need their columns"
NOT_APPLICABLE = {
    "check_complex_data": "wants numpy's words for complex numbers; a cell is refused by its row",
    "check_dict_unchanged": ARRAY,
    "check_dont_overwrite_parameters": ARRAY,
    "check_dtype_object": ARRAY,
    "check_estimator_sparse_array": "wants an error about sparse matrices; a table is asked for",
    "check_estimator_sparse_matrix": "wants an error about sparse matrices; a table is asked for",
    "check_estimator_sparse_tag": "tries whether sparse matrices are taken; no array is",
    "check_estimators_dtypes": ARRAY,
    "check_estimators_empty_data_messages": "wants its words for no rows; ours count swatches",
    "check_estimators_fit_returns_self": ARRAY,
    "check_estimators_overwrite_params": ARRAY,
    "check_estimators_pickle": ARRAY,
    "check_f_contiguous_array_estimator": ARRAY,
    "check_fit2d_1feature": "wants its words for one column; ours name the column that lacks",
    "check_fit2d_1sample": "wants its words for one row; ours count swatches",
    "check_fit2d_predict1d": ARRAY,
    "check_fit_check_is_fitted": ARRAY,
    "check_fit_idempotent": ARRAY,
    "check_fit_score_takes_y": ARRAY,
    "check_methods_sample_order_invariance": ARRAY,
    "check_methods_subset_invariance": ARRAY,
    "check_n_features_in": ARRAY,
    "check_n_features_in_after_fitting": "a bath may name other columns than those learnt from",
    "check_pipeline_consistency": ARRAY,
    "check_positive_only_tag_during_fit": ARRAY,
    "check_readonly_memmap_input": ARRAY,
    "check_regressor_data_not_an_array": ARRAY,
    "check_regressor_multioutput": ARRAY,
    "check_regressors_int": ARRAY,
    "check_regressors_no_decision_function": ARRAY,
    "check_regressors_train": ARRAY,
    "check_requires_y_none": "wants its words for no y; ours say what colours are",
}


def record(n=36, seed=0):
    """One dyestuff, twelve lots on six dye days; three readings a lot."""
    rng = np.random.default_rng(seed)
    lot = np.arange(n) % 12
    table = pd.DataFrame(
        {
            "fibre": "wool", "dyestuff": "weld", "dye_owf": rng.uniform(20, 150, n).round(),
            "pH": rng.uniform(4.5, 8, n).round(1), "lot": [f"L{i}" for i in lot],
            "session": [f"day {i // 2}" for i in lot],
        }
    )  # fmt: skip
    depth = np.log(table["dye_owf"].to_numpy() / 20)
    lab = np.stack([85 - 8 * depth, -8 + 2 * (table["pH"].to_numpy() - 6), 30 + 12 * depth], 1)
    return table, lab + rng.normal(0, 0.4, lab.shape)


@pytest.fixture(scope="module")
def known():
    table, lab = record()
    return table, lab, ShadeModel().fit(table, lab)


def test_scikit_learns_checks_hold_but_for_those_that_do_not_apply():
    found = check_estimator(
        ShadeModel(), expected_failed_checks=NOT_APPLICABLE, on_fail=None, on_skip=None
    )
    failed = {r["check_name"]: r["exception"] for r in found if r["status"] == "failed"}
    assert not failed
    passed = {r["check_name"] for r in found if r["status"] == "passed"}
    assert not passed & set(NOT_APPLICABLE), "these do apply: take them off the list"
    assert {"check_no_attributes_set_in_init", "check_estimators_unfitted"} <= passed


def test_the_constructor_only_stores_and_fit_looks(known):
    table, lab, _ = known
    model = ShadeModel(seed=-1)
    assert model.seed == -1 and vars(model) == {"seed": -1}
    with pytest.raises(ValueOutOfRange, match="seed"):
        model.fit(table, lab)
    assert ShadeModel(seed=3).get_params() == {"seed": 3}
    assert clone(ShadeModel(seed=3)).seed == 3
    assert repr(ShadeModel(seed=3)) == "ShadeModel(seed=3)"


def test_before_fit_it_is_not_fitted(known):
    table, lab, model = known
    check_is_fitted(model)
    for call in (lambda m: m.predict(table), lambda m: m.suggest([60, 0, 40]),
                 lambda m: m.score(table, lab), lambda m: m.fitted(),
                 lambda m: m.next_samples(1)):  # fmt: skip
        with pytest.raises(NotFittedError):
            call(ShadeModel())
        with pytest.raises(BadValue, match="call fit first"):
            call(ShadeModel())


def test_fit_gives_itself_leaves_its_input_alone_and_is_the_same_again(known):
    table, lab, model = known
    mine, colours = table.copy(), lab.copy()
    again = ShadeModel()
    assert again.fit(mine, colours) is again
    assert mine.equals(table) and np.array_equal(colours, lab)
    assert np.array_equal(again.predict(table).lab, model.predict(table).lab)
    assert np.array_equal(again.fit(table, lab).predict(table).lab, model.predict(table).lab)
    assert again.get_params() == {"seed": 0}


def test_rows_are_predicted_alone_as_among_others_and_in_any_order(known):
    table, _, model = known
    whole = model.predict(table).lab
    rows = np.random.default_rng(0).permutation(len(table))
    assert np.allclose(model.predict(table.iloc[rows]).lab, whole[rows], atol=1e-9)
    one = np.concatenate([model.predict(table.iloc[[i]]).lab for i in range(4)])
    assert np.allclose(one, whole[:4], atol=1e-9)


def test_it_can_be_pickled(known):
    table, _, model = known
    back = pickle.loads(pickle.dumps(model))
    assert np.array_equal(back.predict(table).lab, model.predict(table).lab)
    assert back.fit_.meta == model.fit_.meta


def test_its_tags_and_what_it_learnt_are_named(known):
    table, _, model = known
    tags = model.__sklearn_tags__()
    assert is_regressor(model) and tags.estimator_type == "regressor"
    assert tags.target_tags.multi_output and not tags.target_tags.single_output
    assert tags.target_tags.required and tags.input_tags.allow_nan and tags.input_tags.string
    assert list(model.feature_names_in_) == list(table.columns)
    assert model.n_features_in_ == table.shape[1]
    assert "swatches=36" in repr(model.fit_)


@pytest.mark.parametrize("splitter", [GroupKFold(4), LeaveOneGroupOut()], ids=repr)
def test_cross_val_score_holds_groups_apart(known, splitter):
    table, lab, _ = known
    scores = cross_val_score(
        ShadeModel(), table, lab, groups=table["session"], cv=splitter, error_score="raise"
    )
    assert len(scores) == splitter.get_n_splits(groups=table["session"])
    assert (scores < 0).all() and (scores > -2).all()  # minus the median CIEDE2000


def test_measurements_are_split_as_arrays_are(known):
    table, lab, _ = known
    labs = [Measurement(x, 0.2 * np.eye(3)) for x in lab]
    how = {"groups": table["session"], "cv": GroupKFold(3), "error_score": "raise"}
    assert (cross_val_score(ShadeModel(), table, labs, **how) > -2).all()


def test_it_stands_at_the_end_of_a_pipeline_and_in_a_search(known):
    table, lab, model = known
    rounded = FunctionTransformer(lambda t: t.assign(pH=t["pH"].round(1)))
    pipe = make_pipeline(rounded, ShadeModel()).fit(table, lab)
    assert np.allclose(pipe.predict(table), model.predict(table).lab)
    assert pipe.score(table, lab) == model.score(table, lab)
    scores = cross_val_score(pipe, table, lab, groups=table["lot"], cv=GroupKFold(3))
    assert np.isfinite(scores).all()
    search = GridSearchCV(ShadeModel(), {"seed": [0, 1]}, cv=GroupKFold(3))
    search.fit(table, lab, groups=table["lot"])
    assert search.best_params_["seed"] in (0, 1)


def test_scikit_learns_metrics_take_a_prediction(known):
    table, lab, model = known
    got = model.predict(table)
    assert r2_score(lab, got) > 0.9
    assert mean_absolute_error(lab, got) == mean_absolute_error(lab, got.lab)
    how = {"groups": table["lot"], "cv": GroupKFold(3)}
    scores = cross_val_score(
        ShadeModel(), table, lab, scoring="neg_mean_absolute_error", error_score="raise", **how
    )
    assert (scores > -3).all()
    assert cross_val_predict(ShadeModel(), table, lab, **how).shape == (36, 3)
