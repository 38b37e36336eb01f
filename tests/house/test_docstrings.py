"""The public names are described in sections that help() and a builder of pages render."""

import doctest
import inspect
import re

import pytest

import swatchbath as sb

NAMES = [n for n in sb.__all__ if not inspect.ismodule(getattr(sb, n))]
ERRORS = [n for n in NAMES if issubclass(type(getattr(sb, n)), type)
          and issubclass(getattr(sb, n), Exception)]  # fmt: skip
DESCRIBED = [n for n in NAMES if n not in ERRORS]
# What cannot be made in two lines: it comes from a photo, a library or something learnt.
WITHOUT_EXAMPLE = {
    "CrossValidation", "Fit", "NewLot", "Precedent", "Prediction", "Sample", "Shot", "Suggestion",
    "Swatch", "profile_camera",
}  # fmt: skip
HEADINGS = ("Parameters", "Attributes", "Returns", "Raises", "Examples")


def sections(doc):
    """Heading -> its text, of a docstring in the numpydoc style."""
    lines = inspect.cleandoc(doc).splitlines()
    starts = [i for i, line in enumerate(lines[:-1])
              if line in HEADINGS and lines[i + 1] == "-" * len(line)]  # fmt: skip
    ends = [*starts[1:], len(lines)]
    return {lines[i]: "\n".join(lines[i + 2 : j]) for i, j in zip(starts, ends, strict=True)}


def own_methods(cls):
    """Public methods and properties written here, with where each is."""
    for name, value in inspect.getmembers(cls):
        home = next((c for c in cls.__mro__ if name in c.__dict__), None)
        if name.startswith("_") or home is None or not home.__module__.startswith("swatchbath"):
            continue
        written = home.__dict__[name]
        if isinstance(written, property):
            yield name, written.fget
        elif inspect.isroutine(value) and value.__module__.startswith("swatchbath"):
            yield name, value


def parameters(function):
    return [p for p in inspect.signature(function).parameters if p not in ("self", "cls")]


def is_named(name, text):
    return re.search(rf"\b{re.escape(name)}\b", text) is not None


@pytest.mark.parametrize("name", DESCRIBED)
def test_each_is_described_in_sections(name):
    what = getattr(sb, name)
    found = sections(what.__doc__)
    told = f"{found.get('Parameters', '')}\n{found.get('Attributes', '')}"
    for parameter in parameters(what):
        assert is_named(parameter, told), f"{name}: nothing is told of {parameter}"
    if not isinstance(what, type):
        assert "Returns" in found, f"{name}: what it gives is not told"
        assert "Raises" in found or "raise" not in inspect.getsource(what), name


@pytest.mark.parametrize("name", [n for n in DESCRIBED if n not in WITHOUT_EXAMPLE])
def test_each_has_an_example_that_is_run(name):
    assert doctest.DocTestParser().get_examples(sections(getattr(sb, name).__doc__)["Examples"])


def test_the_exceptions_from_examples_are_names_that_are_there():
    assert set(DESCRIBED) >= WITHOUT_EXAMPLE


@pytest.mark.parametrize("name", ERRORS)
def test_each_error_says_what_it_stands_for(name):
    assert getattr(sb, name).__dict__["__doc__"].strip()


@pytest.mark.parametrize("name", [n for n in DESCRIBED if isinstance(getattr(sb, n), type)])
def test_each_method_is_described_with_every_parameter(name):
    missing = []
    for method, function in own_methods(getattr(sb, name)):
        doc = function.__doc__ or ""
        if not doc.strip():
            missing.append(method)
        missing += [f"{method}({p})" for p in parameters(function) if not is_named(p, doc)]
    assert not missing, f"{name}: nothing is told of {', '.join(missing)}"
