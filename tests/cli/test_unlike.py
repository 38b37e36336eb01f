"""Every verb on records unlike the sample: an answer or one plain sentence, never a crash."""

import json

import numpy as np
import pytest

import command
import swatchbath as sb
from swatchbath import desk
from swatchbath.colorimetry.difference import delta_e2000
from swatchbath.errors import NotEnoughSwatches
from unlike_records import MADE, made

# In every run those that differ most from the sample; the others with the slow ones.
FEW = ("empty", "one", "thirty-four on six photos without a camera's name", "every column", "vats")
KINDS = [k if k in FEW else pytest.param(k, marks=pytest.mark.slow) for k in MADE]


@pytest.fixture(scope="module", params=KINDS)
def house(request, tmp_path_factory):
    return made(request.param, tmp_path_factory.mktemp("unlike") / "library")


def asked_of(house, there):
    """What is asked of a library: words of a command each."""
    with sb.Library(house) as lib:
        codes = lib.codes()
        dyes = sorted({str(lib.swatch(c).conditions.get("dyestuff", "")) for c in codes} - {""})
    yield from (("find", "weld"), ("find", "--colour", "60,10,40"), ("waiting",), ("verify",))
    yield from (("explain",), ("plan",), ("plan", "35,0,-25", "-k", "2"))
    yield ("suggest", "35,0,-25", "--grams", "1.2 kg")
    yield ("suggest", "70,0,50", "--limit", "fibre=cotton", "-k", "1")
    yield ("suggest", "#803020", "--tolerance", "4")
    yield ("predict", "fibre=linen", "dyestuff=weld")
    yield ("predict", "fibre=wool", "dyestuff=madder", "dye_owf=80", "modifier=iron")
    yield ("compare", "60,10,40", "#803020")
    yield ("backup", there / "backups")
    yield ("export", there / "out")
    for code in codes[:1] + codes[-1:]:
        yield from (("show", code), ("show", code, "--grams", "500"), ("explain", code))
        yield ("suggest", code, "-k", "2")
        yield ("predict", "--like", code, "pH=5")
        yield ("edit", code, "--set", "note=seen")
    if len(codes) > 1:
        yield ("compare", codes[0], codes[-1])
    for dye in dyes[:1]:
        yield ("delivery", dye, "N27", "--grams", "20 g")
    yield ("bin", codes[0] if codes else "nobody")
    yield ("undo",)


def test_every_verb_answers_or_says_in_one_sentence_why_not(house, tmp_path):
    (tmp_path / "backups").mkdir()
    for n, words in enumerate(asked_of(house, tmp_path)):
        if words[0] == "export":
            words = (words[0], tmp_path / f"out{n}")
        result = command.run(*words, "--library", house, ok=None)
        said = f"{result.stdout}{result.stderr}"
        assert result.exit_code in (0, 1, 2), (words, said)
        assert "Traceback" not in said and "nan" not in said.split(), (words, said)
        if result.exit_code == 2:
            assert 10 < len(result.stderr.strip()) < 500, (words, said)
            assert result.stderr.strip().endswith((".", "?", ":")), (words, said)


def test_what_is_learnt_is_not_flat(house):
    """The colours expected of the very baths learnt from lie nearer to what was read than one
    middle colour does, or the answer says that they do not."""
    with sb.Library(house) as lib:
        try:
            learnt = desk.learn(lib)
        except NotEnoughSwatches as error:
            assert str(error).endswith(".")
            return
    model = learnt.model
    used = model.used_rows_
    read = learnt.labs[used]
    expected = model.predict(learnt.conditions.iloc[used].drop(columns=["photo"])).lab
    own = np.median(delta_e2000(expected, read))
    flat = np.median(delta_e2000(read.mean(axis=0), read))
    assert own < 0.7 * flat or any("learnt from" in n for n in model.notes_), (own, flat)


def test_answers_in_json_are_whole(house, tmp_path):
    for words in (("suggest", "60,10,40"), ("explain",), ("find", "weld"), ("plan",)):
        result = command.run(*words, "--library", house, "--json", ok=None)
        told = json.loads(result.stdout)
        assert ("error" in told) == (result.exit_code == 2)
        assert "NaN" not in result.stdout
