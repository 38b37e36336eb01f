"""Do two lots match? Differences with their doubt, verdicts and words."""

from .compare import Comparison, compare

__all__ = ["Comparison", "compare"]
