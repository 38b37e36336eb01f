"""Rules about words on screens: no statistics' own words, no exclamations, no empty errors."""

import ast
import re

import pytest

from folders import ROOT

SHELLS = ("cli", "desk", "paper", "web")
# DESIGN: statistics' own words never reach a screen.
STATISTICS = re.compile(
    r"\b(posterior|likelihood|kernel|REML|p-value|chi-square|Mahalanobis|sigma|covariance)\b", re.I
)


def strings(path):
    """Text that may be shown: string constants that are no docstring, key or name."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            if id(node) not in docstrings and " " in node.value:
                yield node.lineno, node.value


FILES = [p for shell in SHELLS for p in sorted((ROOT / "src/swatchbath" / shell).rglob("*.py"))]


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_no_statistics_words_and_no_exclamations_on_a_screen(path):
    for line, text in strings(path):
        assert not STATISTICS.search(text), f"{path.name}:{line}: {text}"
        if not text.lstrip().startswith(("<", ":root", "\n:root")):
            assert "!" not in text, f"{path.name}:{line}: {text}"


def test_every_error_raised_here_has_a_sentence():
    for path in (ROOT / "src/swatchbath").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
                name = getattr(node.exc.func, "id", "")
                if name in ("BadValue", "BadTable", "PhotoRefused", "NotFound", "LibraryError",
                            "NotEnoughSwatches", "ShapeError", "ValueOutOfRange"):  # fmt: skip
                    assert node.exc.args, f"{path.name}:{node.lineno}: no sentence"
