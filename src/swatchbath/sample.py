"""Where the sample house's pictures and tables lie, installed or in a checkout."""

from __future__ import annotations

from pathlib import Path

from .errors import NotFound


def sample_folder() -> Path:
    """The folder with photos/, baths.csv, marks.csv and cards.csv of the sample house."""
    here = Path(__file__).resolve()
    for folder in (here.parent / "sample_swatches", here.parents[2] / "sample_swatches"):
        if (folder / "baths.csv").is_file():
            return folder
    raise NotFound(
        "The sample swatches are not installed with this copy. Install swatchbath again, or run "
        "it from a clone of the repository."
    )
