"""Photos as a messenger passes them on: upright, and without a word of who took them and when."""

import shutil
from pathlib import Path

from PIL import Image, ImageOps


def nameless(path, folder):
    """A copy of a JPEG without EXIF, its pixels untouched where it was upright; its path."""
    out = Path(folder) / Path(path).name
    with Image.open(path) as image:
        turned = image.getexif().get(274, 1) != 1
        if turned:
            upright = ImageOps.exif_transpose(image)
            more = {"icc_profile": image.info["icc_profile"]} if "icc_profile" in image.info else {}
            upright.save(out, "JPEG", quality=95, exif=b"", **more)
    if not turned:
        out.write_bytes(_without_exif(Path(path).read_bytes()))
    return out


def nameless_sample(sample, folder):
    """The sample's folder with all EXIF removed from its photos."""
    shutil.copytree(sample, folder, ignore=shutil.ignore_patterns("photos", "*.py"))
    (folder / "photos").mkdir()
    for path in sorted((sample / "photos").iterdir()):
        nameless(path, folder / "photos")
    return folder


def _without_exif(data):
    """A JPEG's bytes without its APP1 segments (ISO/IEC 10918-1, B.1.1.4)."""
    out, at = data[:2], 2
    while data[at] == 0xFF and data[at + 1] != 0xDA:
        size = 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        if data[at + 1] != 0xE1:
            out += data[at : at + size]
        at += size
    return out + data[at:]
