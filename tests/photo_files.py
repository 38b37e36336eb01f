"""Small photos drawn for tests and written in every format that can be read."""

import io
import struct

import numpy as np
import pillow_heif
import tifffile
from PIL import Image, PngImagePlugin

# How the sensor's picture must be turned to be upright (EXIF 2.3, tag 0x0112): the inverse, from
# the upright picture to the stored one.
TURNS = {
    1: lambda a: a,
    2: lambda a: a[:, ::-1],
    3: lambda a: a[::-1, ::-1],
    4: lambda a: a[::-1],
    5: lambda a: a.transpose(1, 0, 2),
    6: lambda a: np.rot90(a, 1),
    7: lambda a: a[::-1, ::-1].transpose(1, 0, 2),
    8: lambda a: np.rot90(a, -1),
}
FORMATS = ("jpg", "png", "webp", "avif", "tif", "tif16", "heic", "dng")
# XYZ to linear sRGB (IEC 61966-2-1), so that a drawn raw file's camera sees as sRGB does.
_MATRIX = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))
BLACK, WHITE = 1000, 60000
GPS = {1: "N", 2: (51.0, 30.0, 26.5), 3: "W", 4: (0.0, 7.0, 39.5), 29: "2026:11:25"}
XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-'
    b'syntax-ns#"><rdf:Description xmlns:exif="http://ns.adobe.com/exif/1.0/" xmlns:dc="d" '
    b'exif:GPSLatitude="51,30.4417N" dc:kept="stays"><exif:GPSLongitude>0,7.6583W'
    b"</exif:GPSLongitude></rdf:Description></rdf:RDF></x:xmpmeta>"
)


def exif_of(orientation=None, *, gps=False):
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "drawn", "camera"
    if orientation:
        exif[0x0112] = orientation
    if gps:
        exif[0x8825] = GPS
        exif[0x9003] = "2026:11:25 10:00:00"
    return exif


def written(path, codes, form, *, orientation=None, gps=False, xmp=None, icc=None, **more):
    """Write 8-bit codes (h, w, 3), as stored, in a format; a raw file takes them as light."""
    codes = np.ascontiguousarray(codes)
    by_hand = form in ("tif", "tif16", "dng")
    exif = exif_of(orientation, gps=gps and not by_hand)
    if form == "dng":
        data = dng_of(codes / 255, orientation or 1)
    elif form == "tif16":
        data = tiff16_of(codes.astype(np.uint16) * 257, orientation or 1, icc=icc, **more)
    elif form == "heic":
        out, image = io.BytesIO(), Image.fromarray(codes)
        image.info.update({"xmp": xmp} if xmp else {})
        made = pillow_heif.from_pillow(image)
        more = {"quality": 95, "chroma": 444, **more}
        made.save(out, exif=exif.tobytes(), **({"icc_profile": icc} if icc else {}), **more)
        data = out.getvalue()
    else:
        kinds = {"jpg": "JPEG", "tif": "TIFF"}
        more = {"jpg": {"quality": 95}, "webp": {"quality": 95}, "avif": {"quality": 95}}.get(
            form, {}
        ) | more
        if xmp and form == "png":
            more["pnginfo"] = PngImagePlugin.PngInfo()
            more["pnginfo"].add_itxt("XML:com.adobe.xmp", xmp.decode(), zip=more.pop("zip", False))
        elif xmp and form == "tif":
            exif[700] = xmp
        elif xmp:
            more["xmp"] = xmp
        out = io.BytesIO()
        image = Image.fromarray(codes)
        image.save(out, format=kinds.get(form, form.upper()), exif=exif, icc_profile=icc, **more)
        data = out.getvalue()
    path.write_bytes(_with_gps(data) if gps and by_hand else data)
    return path


def tiff16_of(codes, orientation=1, *, icc=None, **more):
    """A 16-bit RGB TIFF."""
    out = io.BytesIO()
    tags = [(271, "s", 0, "drawn", True), (272, "s", 0, "camera", True)]
    tags.append((274, "H", 1, orientation, True))
    tifffile.imwrite(
        out, codes, photometric="rgb", extratags=tags, iccprofile=icc, metadata=None, **more
    )
    return out.getvalue()


def dng_of(light, orientation=1, *, matrix=_MATRIX):
    """A DNG 1.4 of an RGGB sensor that saw linear sRGB light (h, w, 3), h and w even."""
    values = np.rint(BLACK + np.asarray(light) * (WHITE - BLACK)).astype(np.uint16)
    mosaic = values[..., 1].copy()
    mosaic[0::2, 0::2] = values[0::2, 0::2, 0]
    mosaic[1::2, 1::2] = values[1::2, 1::2, 2]
    tags = [
        (271, "s", 0, "drawn", True),
        (272, "s", 0, "camera", True),
        (274, "H", 1, orientation, True),
        (33421, "H", 2, (2, 2), True),  # CFARepeatPatternDim
        (33422, "B", 4, bytes([0, 1, 1, 2]), True),  # CFAPattern: red, green, green, blue
        (50706, "B", 4, bytes([1, 4, 0, 0]), True),  # DNGVersion
        (50708, "s", 0, "drawn camera", True),  # UniqueCameraModel
        (50714, "H", 1, BLACK, True),  # BlackLevel
        (50717, "H", 1, WHITE, True),  # WhiteLevel
        (50728, "2I", 3, (1,) * 6, True),  # AsShotNeutral
        (50778, "H", 1, 21, True),  # CalibrationIlluminant1: D65
    ]
    if matrix is not None:
        ratios = [n for v in np.ravel(matrix) for n in (round(v * 10000), 10000)]
        tags.append((50721, "2i", 9, tuple(ratios), True))  # ColorMatrix1
    out = io.BytesIO()
    tifffile.imwrite(out, mosaic, photometric="cfa", extratags=tags, metadata=None)
    return out.getvalue()


def _with_gps(data):
    """A little-endian TIFF whose first directory is written anew behind it, with coordinates."""
    (at,) = struct.unpack("<I", data[4:8])
    (count,) = struct.unpack("<H", data[at : at + 2])
    entries = [data[i : i + 12] for i in range(at + 2, at + 2 + 12 * count, 12)]
    new = len(data) + len(data) % 2
    behind = new + 2 + 12 * (count + 1) + 4
    entries.append(struct.pack("<HHII", 0x8825, 4, 1, behind))
    entries.sort(key=lambda entry: struct.unpack("<H", entry[:2]))
    table = struct.pack("<H", count + 1) + b"".join(entries) + bytes(4)
    head = data[:4] + struct.pack("<I", new) + data[8:]
    return head + bytes(new - len(data)) + table + _gps_directory(behind)


def _gps_directory(at):
    end, table, values = at + 2 + 12 * len(GPS) + 4, b"", b""
    for tag, value in sorted(GPS.items()):
        if isinstance(value, str):
            kind, count, raw = 2, len(value) + 1, value.encode() + b"\0"
        else:
            kind, count = 5, len(value)
            raw = b"".join(struct.pack("<II", round(v * 100), 100) for v in value)
        if len(raw) > 4:
            place = struct.pack("<I", end + len(values))
            values += raw + bytes(len(raw) % 2)
        else:
            place = raw.ljust(4, b"\0")
        table += struct.pack("<HHI", tag, kind, count) + place
    return struct.pack("<H", len(GPS)) + table + bytes(4) + values
