"""The few array formulae every answer needs: CIELAB, CIEDE2000, doubt. numpy only."""

from .covariance import nearest_covariance
from .difference import cmc, delta_e76, delta_e2000, lightness_chroma_hue
from .interval import difference_interval
from .lab import (
    WHITE_D50,
    WHITE_D65,
    bradford,
    lab_to_lch,
    lab_to_srgb,
    lab_to_xyz,
    linear_srgb_to_xyz,
    srgb_decode,
    srgb_encode,
    xyz_to_lab,
    xyz_to_linear_srgb,
)
from .measurement import Check, Measurement, cross_covariance
from .words import colour_words, difference_words

__all__ = [
    "WHITE_D50",
    "WHITE_D65",
    "Check",
    "Measurement",
    "bradford",
    "cmc",
    "colour_words",
    "cross_covariance",
    "delta_e76",
    "delta_e2000",
    "difference_interval",
    "difference_words",
    "lab_to_lch",
    "lab_to_srgb",
    "lab_to_xyz",
    "lightness_chroma_hue",
    "linear_srgb_to_xyz",
    "nearest_covariance",
    "srgb_decode",
    "srgb_encode",
    "xyz_to_lab",
    "xyz_to_linear_srgb",
]
