"""From the sample's photos to left-out lots: our regression beside scikit-learn's usual ones.

The shipped photos are measured, recorded and learnt from; each lot is left out with its dye day and
photos (the program's own splits), and predicted by ShadeModel, by scikit-learn's quadratic ridge
and by its nearest neighbour on the same training rows. CIEDE2000 from the reading and from the true
colour, which only the drawing code knows.

    python tests/studies/score_sample.py
"""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

import numpy as np
import pandas as pd
from sklearn.compose import make_column_transformer
from sklearn.impute import SimpleImputer
from sklearn.linear_model import RidgeCV
from sklearn.neighbors import KNeighborsRegressor
from sklearn.pipeline import make_pipeline
from sklearn.preprocessing import OneHotEncoder, PolynomialFeatures, StandardScaler

import swatchbath as sb
from swatchbath import desk
from swatchbath.predict.regression.cross_validation import folds_of

TRUTH = Path(__file__).resolve().parents[1] / "reference" / "sample_truth.csv"


def read_sample(folder: Path) -> tuple[pd.DataFrame, list, list[str]]:
    """Conditions, measurements and names of the sample house as photographed."""
    with sb.Library(folder, create=True) as lib:
        desk.record_sample(lib)
        conditions, measured, _ = lib.table()
        return conditions, measured, [lib.swatch(code).name for code in conditions["swatch"]]


def rivals(table: pd.DataFrame) -> dict[str, object]:
    """scikit-learn's usual answers to a table of words and numbers with gaps."""
    numbers = [c for c in table if pd.api.types.is_numeric_dtype(table[c])]
    words = [c for c in table if c not in numbers]

    def columns():
        return make_column_transformer(
            (OneHotEncoder(handle_unknown="ignore"), words),
            (make_pipeline(SimpleImputer(strategy="median"), StandardScaler()), numbers),
            sparse_threshold=0,
        )

    ridge = RidgeCV(np.logspace(-2, 5, 15))
    quadratic = PolynomialFeatures(2, include_bias=False)
    return {
        "quadratic ridge": make_pipeline(columns(), quadratic, StandardScaler(), ridge),
        "linear ridge": make_pipeline(columns(), StandardScaler(), ridge),
        "nearest neighbour": make_pipeline(columns(), KNeighborsRegressor(1)),
    }


def score(conditions: pd.DataFrame, measured: list, names: list[str]) -> pd.DataFrame:
    """CIEDE2000 of each left-out row: method, from the reading, from the true colour."""
    with open(TRUTH, encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        truth = {r["name"]: [float(r[k]) for k in ("L", "a", "b")] for r in rows}
    true = np.array([truth[n] for n in names])
    read = np.array([m.lab for m in measured])
    model = sb.ShadeModel().fit(conditions, measured)
    groups = model.fit_.groups
    place = model.fit_.order  # the model sorts its rows
    told = conditions.drop(columns=["lot", "session", "photo", "swatch"], errors="ignore")
    told = told.dropna(axis=1, how="all")
    told = told.loc[:, told.nunique() > 1]
    words = [c for c in told if not pd.api.types.is_numeric_dtype(told[c])]
    told = told.assign(**{c: told[c].astype(object).where(told[c].notna(), "?") for c in words})
    got = {"ShadeModel": model.cross_validation_.lab}
    for name, rival in rivals(told).items():
        lab = np.full_like(read, np.nan)
        for test, train in folds_of(groups, np.random.default_rng(model.seed))[0]:
            rival.fit(told.iloc[place[train]], read[place[train]])
            lab[place[test]] = rival.predict(told.iloc[place[test]])
        got[name] = lab
    done = np.isfinite(np.stack(list(got.values()))).all(axis=(0, 2))
    return pd.DataFrame(
        {
            "method": np.repeat(list(got), done.sum()),
            "read": np.concatenate([sb.delta_e2000(v[done], read[done]) for v in got.values()]),
            "true": np.concatenate([sb.delta_e2000(v[done], true[done]) for v in got.values()]),
        }
    )


def main():
    with tempfile.TemporaryDirectory() as folder:
        found = score(*read_sample(Path(folder) / "library"))
    print(f"{'':20}{'from the reading':>20}{'from the truth':>20}   (median, 95th percentile)")
    for method, rows in found.groupby("method", sort=False):
        a, b = rows["read"], rows["true"]
        print(
            f"{method:20}{a.median():12.1f}{a.quantile(0.95):8.1f}"
            f"{b.median():12.1f}{b.quantile(0.95):8.1f}"
        )


if __name__ == "__main__":
    main()
