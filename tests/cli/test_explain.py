"""`explain` on the sample's library, and the fit that is kept: Python, command and JSON agree."""

import json
import re

import numpy as np
import pytest

import command
import swatchbath as sb
from few_tried import few_tried
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.library.safety.strays import LEARNT as FIT_FILE

WHOLE_SEARCH = True  # what is found wrong is judged


STATISTICS = re.compile(r"posterior|likelihood|kernel|REML|p-value|sigma|covariance|improvement")


@pytest.fixture(scope="module")
def folder(sample_house):
    return sample_house


def run(folder, *words, ok=0):
    return command.run(*words, "--library", folder, ok=ok).output


def test_explain_says_the_same_in_text_picture_and_json(folder, tmp_path):
    page = tmp_path / "learnt.html"
    told = json.loads(run(folder, "explain", "--json", "--page", str(page)))
    said = run(folder, "explain")
    html = page.read_text(encoding="utf-8")
    first = told["matters"][0]
    assert first["condition"] == "dyestuff"
    for text in (said, html):
        assert f"missed by {first['increase']:.1f} more" in " ".join(text.split())
    for miss in told["misses"]:
        assert miss["code"] in said and miss["code"] in html
        assert f"CIEDE2000 {miss['delta_e2000']:.0f}" in " ".join(said.split())
    assert html.count("<svg xmlns") == 3 + len(told["curves"])
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "").replace("http-equiv", "")
    assert len(told["foreseen"]) > 60
    assert not STATISTICS.search(said) and not STATISTICS.search(html)
    assert max(map(len, said.splitlines())) <= 80


def test_explain_finds_what_is_wrong_in_the_sample(folder):
    """Swatch 23a is recorded with 6 minutes instead of 60; gallnut was only given to cotton."""
    with sb.Library(folder) as lib, few_tried():
        found = desk.explain(lib)
    assert any("(23a)" in q and "time in the dye bath: 6" in q for q in found.questions)
    assert any("gallnut" in t.sentence and "cotton" in t.sentence for t in found.together)


def test_a_fit_is_kept_and_put_back_the_same(folder):
    with sb.Library(folder) as lib:
        kept = (folder / FIT_FILE).read_text(encoding="utf-8")
        one = desk.learn(lib)
        assert one.model.restored_
        (folder / FIT_FILE).unlink()
        two = desk.learn(lib)
        assert not two.model.restored_
        assert (folder / FIT_FILE).read_text(encoding="utf-8") == kept
        (folder / FIT_FILE).write_bytes(b"\xff\x00 not a fit")
        three = desk.learn(lib)
        assert not three.model.restored_
        assert (folder / FIT_FILE).read_text(encoding="utf-8") == kept
    for other in (two, three):
        lab = other.model.predict(one.conditions).lab
        assert np.array_equal(one.model.predict(one.conditions).lab, lab)


def test_one_swatch_more_does_not_refit(folder, tmp_path):
    with sb.Library(folder) as lib:
        before = desk.learn(lib).model
        steps = steps_of({"dyestuff": "weld", "dye_owf": 70.0, "mordant": "alum"})
        code = lib.add_swatch(steps=steps, fibre={"fibre": "wool"})
        lib.add_measurement(code, sb.Measurement([70, 0, 60], np.eye(3)))
        after = desk.learn(lib).model
    assert after.restored_
    assert np.array_equal(after.fit_.regression.hyper.pot, before.fit_.regression.hyper.pot)
    assert len(after.fit_.factors.x) == len(before.fit_.factors.x) + 1


def test_where_the_fit_cannot_be_kept_it_is_answered_all_the_same(folder):
    (folder / FIT_FILE).unlink(missing_ok=True)
    (folder / FIT_FILE).mkdir()  # no file can be put in the place of a folder, not even by root
    try:
        with sb.Library(folder) as lib:
            assert not desk.learn(lib).model.restored_
        assert not list(folder.glob(".learnt-*"))
    finally:
        (folder / FIT_FILE).rmdir()
