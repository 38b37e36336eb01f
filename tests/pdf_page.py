"""What the tests of printed sheets read out of a PDF of one page."""

import re
import zlib

import numpy as np
import zxingcpp

POINT = 25.4 / 72  # mm (ISO 32000-1: user space is 1/72 inch)
NUMBER = r"(-?[\d.]+)"


def page(pdf):
    """The drawing orders of the page: the one stream that fills rectangles."""
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    opened = []
    for stream in streams:
        try:
            opened.append(zlib.decompress(stream))
        except zlib.error:
            continue
    return next(s for s in opened if b" re f" in s or b" re\nf" in s).decode("latin-1")


def media(pdf):
    """(width, height) of the paper in mm."""
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", pdf)
    return tuple(float(v) * POINT for v in box.groups())


def filled(pdf):
    """(n, 4) filled rectangles: left, top, right, bottom in mm from the top left of the paper."""
    _, height = media(pdf)
    orders = re.findall(rf"{NUMBER} {NUMBER} {NUMBER} {NUMBER} re\s+f", page(pdf))
    x, y, w, h = np.array(orders, float).T * POINT
    across, down = np.sort([x, x + w], axis=0), np.sort([height - y, height - y - h], axis=0)
    return np.stack([across[0], down[0], across[1], down[1]], axis=-1)


def lines(pdf):
    """(n, 4) stroked straight lines: x1, y1, x2, y2 in mm from the top left."""
    _, height = media(pdf)
    orders = re.findall(rf"{NUMBER} {NUMBER} m {NUMBER} {NUMBER} l S", page(pdf))
    ends = np.array(orders, float) * POINT
    ends[:, 1::2] = height - ends[:, 1::2]
    return ends


def read_back(rectangles, size):
    """{text: centre in mm} of the codes that the filled rectangles make, at 8 pixels a mm."""
    picture = np.full((int(size[1] * 8), int(size[0] * 8)), 255, np.uint8)
    for left, top, right, bottom in np.round(rectangles * 8).astype(int):
        picture[top:bottom, left:right] = 0
    out = {}
    for code in zxingcpp.read_barcodes(picture):
        at = code.position
        out[code.text] = np.array([at.top_right.x + at.bottom_left.x, at.top_right.y + at.bottom_left.y]) / 16  # noqa: E501  # fmt: skip
    return out
