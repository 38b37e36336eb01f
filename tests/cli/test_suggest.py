"""The screen of suggest: in one screen, in order, step by step, and with a code."""

import pytest

import command

SHADES = ("45,20,25", "62,12,48", "22a", "#c8a050", "25,2,-25")
LIMITS = ((), ("fibre=silk", "modifier=iron"), ("fibre=wool", "modifier=ash lye"))


@pytest.fixture(scope="module")
def house(sample_house):
    return sample_house


def run(house, *words, ok=0):
    return command.run("suggest", *words, "--library", house, ok=ok).stdout


# In every run each shade and each limit at least once; all pairs with the slow ones.
PAIRS = [
    pytest.param(s, limits, marks=() if i in (j, j + len(LIMITS)) else pytest.mark.slow)
    for i, s in enumerate(SHADES)
    for j, limits in enumerate(LIMITS)
]


@pytest.mark.parametrize(("shade", "limits"), PAIRS)
def test_one_bath_fits_a_screen_with_all_its_cautions(house, shade, limits):
    words = [shade, "-k", 1, *(w for limit in limits for w in ("--limit", limit))]
    lines = run(house, *words).splitlines()
    assert len(lines) <= 24 and max(map(len, lines)) <= 80
    flat = " ".join(" ".join(lines).split()).replace(" - ", " ")
    (idea,) = command.run_json("suggest", *words, folder=house)["ideas"]
    assert flat.index("Expect ") < flat.index(idea["odds"][:20])
    if not idea["far_off"]:
        care = [*idea["care"]["full"], idea["care"]["general"]]
        assert all(sentence in flat for sentence in care)
        assert flat.index(idea["odds"]) < flat.index(care[0]) < flat.index("For 100 g:")
        assert ", ".join(idea["weigh"]) in flat


def test_how_tells_each_step_and_whose_it_is(house):
    said = run(house, "22a", "-k", 1, "--how")
    assert "How it is done" in said and "Usual: Let it cool in the bath." in " ".join(said.split())
    assert said.index("For 100 g") < said.index("How it is done")
    assert "How it is done" not in run(house, "22a", "-k", 1)


def test_a_code_is_given_out_dyed_read_and_counted(house):
    said = run(house, "22a", "-k", 1, "--dye", 1, "--tolerance", 3, "--limit", "fibre=silk")
    code = said.split("Write ")[1][:5]
    assert f"swatchbath pot --codes {code}" in " ".join(said.split())
    waiting = command.run("waiting", "--library", house).stdout
    assert code in waiting and "expected" in waiting
    command.run("pot", "--codes", code, "--library", house)
    read = command.run("record", "--code", code, "--lab", "52,26,16", "--library", house).stdout
    flat = " ".join(read.split())
    assert "asked" in flat and "came out" in flat and "Next: " in flat
    shown = " ".join(command.run("show", code, "--library", house).stdout.split())
    assert "Given out for" in shown and shown.index("came out") < shown.index("Take care when")
    explained = command.run("explain", "--library", house).stdout
    assert "Of 1 pot dyed on a suggestion" in " ".join(explained.split())


def test_the_help_is_in_the_words_of_the_trade(house):
    for verb in ("suggest", "plan", "predict", "explain", "show", "waiting", "pot", "codes"):
        said = command.run(verb, "--help").stdout
        for word in ("foreseen", "foretold", "Foresee", "modifier bath", "addition", "solution"):
            assert word not in said, verb
