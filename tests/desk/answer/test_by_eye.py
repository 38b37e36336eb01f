"""A tolerance of her own, from pairs she judged."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.desk.answer.by_eye import own_tolerance
from swatchbath.errors import BadValue


def judged(sizes, limit):
    return [{"delta_e2000": s, "verdict": "match" if s <= limit else "apart"} for s in sizes]


def test_the_value_that_parts_her_pairs_is_found_from_ten_on():
    sizes = np.linspace(0.4, 5.8, 10)
    assert own_tolerance(judged(sizes[:9], 3.0)) is None
    own = own_tolerance(judged(sizes, 3.0))
    assert max(s for s in sizes if s <= 3) < own < min(s for s in sizes if s > 3)
    assert own_tolerance(judged(sizes, 99)) is None
    slipped = judged(sizes, 3.0)
    slipped[0]["verdict"] = "apart"
    assert own_tolerance(slipped) == own


def test_a_judgement_is_kept_and_the_later_word_counts(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        for i in range(10):
            verdict = "match" if i < 5 else "apart"
            answer = desk.compare(lib, "50,0,0", f"{50.3 + i},0,0", eye=verdict)
        assert "--tolerance" in answer.eye and answer.own_tolerance == own_tolerance(lib.judgements)
        desk.compare(lib, "50,0,0", "50.3,0,0", eye="apart")
        assert len(lib.judgements) == 10
        with pytest.raises(BadValue, match="--eye match"):
            desk.compare(lib, "50,0,0", "51,0,0", eye="maybe")
    with sb.Library(tmp_path / "lib") as lib:
        assert lib.judgements[-1]["verdict"] == "apart"
