"""Imports go down the layers only (DEVELOPERS.md, Layers)."""

import ast

import pytest

from folders import SOURCE

ROOT = SOURCE
# Which of our own packages each may import. errors is open to all.
MAY = {
    "errors": set(),
    "colorimetry": set(),
    "conditions": {"colorimetry"},
    "bath": {"colorimetry", "conditions"},
    "photo": {"colorimetry"},
    "predict": {"colorimetry", "conditions", "bath"},
    "match": {"colorimetry"},
    "library": {"colorimetry", "conditions", "bath", "photo"},
    "paper": {"colorimetry", "photo", "predict", "match", "bath"},
    "desk": {
        "colorimetry", "conditions", "photo", "predict", "match", "bath", "library", "paper",
        "sample",
    },
    "sample": set(),
    "cli": {"desk"},
}  # fmt: skip


def ours(path):
    """(package, imported names) for each import of ours in a file, relative or not."""
    here = path.relative_to(ROOT)
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            if node.level:
                base = list(here.parts[:-1])
                base = base[: len(base) - (node.level - 1)]
                parts = base + (node.module.split(".") if node.module else [])
                yield from [parts[0]] if parts else [a.name for a in node.names]
            elif node.module and node.module.split(".")[0] == "swatchbath":
                parts = node.module.split(".")
                yield from [parts[1]] if len(parts) > 1 else [a.name for a in node.names]
        elif isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.startswith("swatchbath"):
                    yield (alias.name.split(".") + ["swatchbath"])[1]


FILES = sorted(p for p in ROOT.rglob("*.py") if p.relative_to(ROOT).parts != ("__init__.py",))


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_file_imports_only_from_below(path):
    here = path.relative_to(ROOT)
    layer = here.parts[0].removesuffix(".py")
    assert layer in MAY, f"{layer} is in no layer; add it to the table and to DEVELOPERS.md"
    for package in ours(path):
        allowed = package in MAY[layer] | {layer, "errors", "__version__"}
        assert allowed, f"{here} imports {package}"


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_below_the_shells_prints(path):
    if path.relative_to(ROOT).parts[0] == "cli":
        return
    calls = [
        n.func.id
        for n in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
    ]
    assert "print" not in calls
