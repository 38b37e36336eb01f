"""Keeping a library: edit, undo, bin, backup, restore, verify, export."""
