"""`--json` of every verb on the sample: one shape for swatches, steps, colours and doubt."""

import json
from functools import cache
from pathlib import Path

import jsonschema
import pytest

from command import run
from every_verb import LEFT_OUT, ask_everything
from swatchbath.cli import VERBS

SCHEMA = json.loads((Path(__file__).parent / "answers.schema.json").read_text(encoding="utf-8"))


ASKED = [verb for verb in VERBS if verb not in LEFT_OUT]


def checked(schema):
    """A schema that is one, ready to check answers by."""
    kind = jsonschema.validators.validator_for(SCHEMA)
    kind.check_schema(schema)
    return kind(schema)


@cache
def of_use(use):
    """The schema of one verb's answer, so that a mismatch names what is wrong in it."""
    (part,) = [p for p in SCHEMA["oneOf"] if p["properties"].get("use") == {"const": use}]
    return checked(
        {"$defs": SCHEMA["$defs"], "allOf": part["allOf"], "required": ["schema", "use"]}
    )


WHOLE = checked(SCHEMA)
STEPS = checked({"$defs": SCHEMA["$defs"], "$ref": "#/$defs/steps"})


def check(answer):
    (WHOLE if "error" in answer else of_use(answer["use"])).validate(answer)


@pytest.fixture(scope="module")
def answers(sample_house, tmp_path_factory):
    """What every verb answers about the sample, by verb."""
    given = {}

    def asked(verb, *words, ok, library):
        at = ("--library", library) if library else ()
        told = run(verb, *words, *at, "--json", ok=ok).stdout
        given.setdefault(verb, []).append(json.loads(told))

    ask_everything(tmp_path_factory.mktemp("answers"), sample_house, asked)
    asked("record", "--columns", ok=0, library=None)
    return given


@pytest.mark.parametrize("verb", ASKED)
def test_every_verb_answers_in_the_shape_that_is_written_down(answers, verb):
    for answer in answers[verb]:
        check(answer)
        assert answer["schema"] == 1


def walk(value, path=""):
    """Every object in an answer with where it stands."""
    if isinstance(value, dict):
        yield path, value
        for name, part in value.items():
            yield from walk(part, f"{path}/{name}")
    elif isinstance(value, list):
        for part in value:
            yield from walk(part, path)


@pytest.mark.parametrize("verb", ASKED)
def test_swatches_steps_and_doubt_are_named_alike_wherever_they_stand(answers, verb):
    for answer in answers[verb]:
        for path, found in walk(answer):
            if isinstance(found.get("code"), str):
                assert "name" in found, f"{path}: a swatch has its code and its name"
            if "steps" in found:
                STEPS.validate(found["steps"])
            if isinstance(found.get("swatches"), list):
                assert all(isinstance(s, dict) and "name" in s for s in found["swatches"]), path
            for part in ("covariance", "pot_covariance"):
                assert part not in found or "give_or_take" in found, path


def test_the_schema_tells_of_every_verb_and_can_fail(answers):
    assert {p["properties"]["use"]["const"] for p in SCHEMA["oneOf"][1:]} == set(VERBS)
    found = json.loads(json.dumps(answers["find"][0]))
    found["swatches"][0]["steps"] = ["dye: weld 80 %"]
    with pytest.raises(jsonschema.ValidationError, match="weld"):
        check(found)
    del answers["show"][0]["steps"][0]["kind"]
    with pytest.raises(jsonschema.ValidationError, match="kind"):
        check(answers["show"][0])
