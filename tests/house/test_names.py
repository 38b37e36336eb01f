"""The public face is what it says."""

import inspect

import swatchbath as sb


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
