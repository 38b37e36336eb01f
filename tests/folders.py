"""Where things lie, for tests at any depth."""

from pathlib import Path

TESTS = Path(__file__).resolve().parent
ROOT = TESTS.parent
SOURCE = ROOT / "src" / "swatchbath"
SAMPLE = ROOT / "sample_swatches"
STUDIES = TESTS / "studies"
REFERENCE = TESTS / "reference"
