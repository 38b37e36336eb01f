"""Sentences on a verdict: what can be said where, and what is advised that was not done."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath.desk.text.verdict_words import Done, tolerance_of, verdict_words
from swatchbath.errors import BadValue


def said(a, b, sd=0.1, *, purpose="garment", done=None, tolerance=2.0, photo="p"):
    light = {"light:p": np.array([[sd], [0.0], [0.0]])}
    one = sb.Measurement(a, 0.01 * np.eye(3), shared=light, photo=photo, rung="card")
    two = sb.Measurement(b, 0.01 * np.eye(3), photo=photo, rung="card")
    two = two.replace(shared={"light:p": -light["light:p"]}, trueness=sd**2 * np.diag([1, 0, 0]))
    r = sb.compare(one, two, tolerance=tolerance)
    labs = (one.lab, two.lab)
    return r, verdict_words(r, "A", "B", labs, purpose, done or Done(places=True))


def test_a_match_says_how_much_any_difference_is_under():
    r, words = said([50, 10, 30], [50.2, 10, 30])
    assert r.verdict == "match"
    assert words["sentence"].startswith("No difference to be seen.")
    assert "They match for one garment: any difference is under" in words["sentence"]
    assert words["meanwhile"] == [] and words["settle"] == ""
    r, words = said([50, 10, 30], [51.3, 10, 30])
    assert r.verdict == "match" and "No difference" not in words["sentence"]


def test_a_difference_says_which_way():
    r, words = said([58, 10, 30], [50, 10, 30])
    assert r.verdict == "no match"
    assert words["sentence"] == "They differ: A is lighter. You would see it in one garment."
    assert "give A, the lighter one" in " ".join(words["meanwhile"])
    assert words["mostly"] == "mostly depth"
    _, words = said([50, 10, 30], [58, 10, 30])
    assert "give B, the lighter one" in " ".join(words["meanwhile"])


def test_what_cannot_be_told_leans_and_what_was_done_is_not_advised():
    r, words = said([50.4, 10, 30], [50, 10, 30], sd=0.9)
    assert (r.verdict, r.leaning) == ("cannot tell", "match")
    assert words["sentence"].startswith("I see no difference, but this photo could hide one of")
    assert "in 10" in words["likely"] and "--swapped" in words["settle"]
    for done, next_one in (
        (Done(places=True, swapped=True), "--paper"),
        (Done(places=True, swapped=True, paper=True), "--card"),
        (Done(places=True, swapped=True, paper=True, card=True), "a chart of 24 colours"),
        (Done(places=True, swapped=True, paper=True, card=True, chart=True), "your own eye"),
        (Done(wish=True), "screen colour"),
        (Done(), "touching"),
    ):
        assert next_one in said([50.4, 10, 30], [50, 10, 30], sd=0.9, done=done)[1]["settle"]
    r, words = said([53, 10, 30], [50, 10, 30], sd=0.9)
    assert (r.verdict, r.leaning) == ("cannot tell", "apart")
    assert words["sentence"] == "Probably different: A looks lighter."


def test_how_close_it_must_be_by_what_is_asked():
    assert [tolerance_of(None, p) for p in ("garment", "customer", "family")] == [2, 4, 8]
    assert (tolerance_of(None, None), tolerance_of(3.5, None)) == (2, 3.5)
    with pytest.raises(BadValue, match="one of them"):
        tolerance_of(2.0, "garment")
    with pytest.raises(BadValue, match="--for takes"):
        tolerance_of(None, "sock")
