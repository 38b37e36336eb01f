"""Camera raw and DNG files, through the optional rawpy: one fixed, linear development."""

from __future__ import annotations

import io
from typing import Any

import numpy as np

from ...errors import PhotoRefused
from .formats import Opened, check_size, damaged, joined_name, missing, time_of
from .icc import Decoder
from .picture import Picture
from .tiff import cut_short, first_words

# Linear sRGB to the wide space in which the development is handed over, as LibRaw has it
# (prophoto_rgb in its colour tables; from memory, and checked by the tests on known values). The
# space is wide so that strong shades are not clipped; we come back by its inverse.
_SRGB_TO_WIDE = np.array(
    [
        [0.529317, 0.330092, 0.140588],
        [0.098368, 0.873465, 0.028169],
        [0.016879, 0.117663, 0.865457],
    ]
)


def open_raw(data: bytes, name: str) -> Opened:
    """Develop a raw file into 16-bit linear values.

    Fixed: white balance for daylight by the camera's own matrix (the grey card does the rest), no
    brightening, no noise filter, the white level the file states, clipped highlights, and plain
    linear interpolation, which keeps means. Raises PhotoRefused without the extra.
    """
    try:
        import rawpy
    except ImportError as error:
        raise PhotoRefused(missing(name, "a camera raw file", "raw")) from error
    if cut_short(data):
        raise PhotoRefused(damaged(name))  # LibRaw would read the rest as black
    try:
        with rawpy.RawPy() as raw:
            raw.open_buffer(io.BytesIO(data))
            sizes = raw.sizes
            check_size(name, (sizes.raw_width, sizes.raw_height))
            check_size(name, (sizes.width, sizes.height))
            if raw.num_colors != 3:
                raise PhotoRefused(
                    f"{name} is a raw file with {raw.num_colors} colours, where 3 can be read. "
                    "Export it as a TIFF or JPEG."
                )
            known = bool(np.any(raw.rgb_xyz_matrix) or np.any(raw.color_matrix))
            codes = raw.postprocess(**_development(rawpy))
    except rawpy.LibRawError as error:
        raise PhotoRefused(damaged(name)) from error
    words = first_words(data)
    camera = joined_name(words.get(tag, "") for tag in (271, 272))
    taken = time_of(words.get(306))
    picture = Picture(np.asarray(codes, np.uint16))
    if not known:  # then LibRaw hands over the camera's own colours
        note = "raw, developed to linear values; the camera's primaries are not known"
        return Opened(
            picture, Decoder((np.asarray,) * 3, np.eye(3), note), camera,
            kind="unprofiled", taken=taken,
        )  # fmt: skip
    note = "raw, developed to linear values with fixed daylight white balance"
    to_srgb = np.linalg.inv(_SRGB_TO_WIDE)
    decoder = Decoder((np.asarray,) * 3, to_srgb, note)
    return Opened(picture, decoder, camera, kind="linear", taken=taken)


def _development(rawpy: Any) -> dict[str, Any]:
    return {
        "demosaic_algorithm": rawpy.DemosaicAlgorithm.LINEAR,
        "fbdd_noise_reduction": rawpy.FBDDNoiseReductionMode.Off,
        "median_filter_passes": 0,
        "use_camera_wb": False,
        "use_auto_wb": False,
        "output_color": rawpy.ColorSpace.ProPhoto,
        "output_bps": 16,
        "no_auto_bright": True,
        # The white level would else follow the brightest pixel of each photo.
        "adjust_maximum_thr": 0.0,
        "bright": 1.0,
        "highlight_mode": rawpy.HighlightMode.Clip,
        "gamma": (1, 1),
    }
