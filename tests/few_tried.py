"""Answers from fewer baths: for tests of what is said of baths, not of how well they are sought."""

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch


@contextmanager
def few_tried() -> Iterator[None]:
    """Fewer baths are tried for a suggestion and a plan, and fewer swatches for what matters."""
    from swatchbath.predict.explain import effects
    from swatchbath.predict.search import experiment, suggestion

    with (
        patch.multiple(suggestion, _TRIED=150, _PER_SEED=6),
        patch.multiple(experiment, _TRIED=200, _SEEDS=4, _PER_SEED=6),
        patch.multiple(effects, _MOST_ROWS=20),
    ):
        yield
