"""The printed photo sheet: its layout, and finding it in a photo."""
