"""Rows of the library, to and from its tables."""
