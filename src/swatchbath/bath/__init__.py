"""Baths: steps, materials and cautions."""
