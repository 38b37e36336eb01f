"""What is kept beside a swatch, a lot or a delivery of a dyestuff: notes, columns of her own."""

from __future__ import annotations

# Names that are there for everyone; any other name is a column of her own.
KEPT = ("note", "place", "price", "season", "provenance", "fastness")
