"""Backup, restore, verification."""
