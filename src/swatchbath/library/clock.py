"""The time of day, in one place, so that tests can set it."""

from __future__ import annotations

from datetime import UTC, datetime


def now() -> datetime:
    """The time now, in UTC."""
    return datetime.now(UTC)


def stamp() -> str:
    """The time now as it is put on record, to the second."""
    return now().isoformat(timespec="seconds")
