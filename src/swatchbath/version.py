"""The version, in the one place where it stands."""

__version__ = "0.1.0"
