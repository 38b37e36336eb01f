"""What begins with an underscore is read in its own file only."""

import ast

import pytest

from source_imports import FILES, TREES, imports


def _private(name):
    return name.startswith("_") and not name.startswith("__")


@pytest.mark.parametrize("what", ["names", "attributes"])
def test_no_file_reads_what_is_private_to_another(what):
    found = []
    for name, tree in TREES.items():
        if what == "names":
            found += [f"{name}: {t}" for _, t in imports(name) if t and _private(t)]
            continue
        # An attribute is its file's own where the file writes it: a field, a method, self._x.
        own = {n.attr for n in ast.walk(tree) if isinstance(n, ast.Attribute)
               and isinstance(n.value, ast.Name) and n.value.id in ("self", "cls")}  # fmt: skip
        own |= {n.name for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)}
        own |= {n.target.id for n in ast.walk(tree) if isinstance(n, ast.AnnAssign)
                and isinstance(n.target, ast.Name)}  # fmt: skip
        found += [
            f"{FILES[name].name}:{n.lineno}: {n.attr}"
            for n in ast.walk(tree)
            if isinstance(n, ast.Attribute) and _private(n.attr) and n.attr not in own
        ]
    assert not found, "\n".join(found)
