"""The public face is what it says."""

import ast
import inspect

import swatchbath as sb
from source_imports import TREES


def test_all_is_sorted_complete_and_documented():
    assert sb.__all__ == sorted(sb.__all__)
    assert set(sb._HOME) <= set(sb.__all__)
    for name in sb.__all__:
        assert inspect.getdoc(getattr(sb, name)), f"{name} has no docstring"


def test_every_error_of_ours_has_the_common_base_and_a_builtin_one():
    for name in sb.errors.__all__:
        error = getattr(sb.errors, name)
        assert issubclass(error, sb.SwatchbathError)
        if error is not sb.SwatchbathError:
            assert issubclass(error, (ValueError, LookupError, OSError))


def test_one_class_one_name():
    homes = {}
    for name, tree in TREES.items():
        for node in tree.body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                homes.setdefault(node.name, []).append(name)
    assert not {name: files for name, files in homes.items() if len(files) > 1}
