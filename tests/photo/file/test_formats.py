"""What each kind of file keeps of the light, and what is said of what it cannot keep."""

import builtins
import io
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import PIL
import pillow_heif
import pytest
import tifffile
from PIL import Image

from icc_profiles import P3, profile
from photo_files import BLACK, WHITE, dng_of, tiff16_of, written
from swatchbath.colorimetry import srgb_decode
from swatchbath.errors import PhotoRefused
from swatchbath.photo import Region, read_photo
from swatchbath.photo.file.formats import check_size
from swatchbath.photo.file.icc import CodedSpace, coded_decoder, matrix_decoder
from swatchbath.photo.place.region import read_region

PATCHES = np.array([[0.5, 0.1, 0.05], [0.02, 0.3, 0.1], [0.03, 0.04, 0.4], [0.18, 0.18, 0.18]])


def four(values, size=40):
    """A picture of four patches, two by two."""
    grid = np.asarray(values)[[[0, 1], [2, 3]]]
    return grid.repeat(size, 0).repeat(size, 1)


def means(photo, size=40):
    """(4, 3) light at the middle of the four patches."""
    places = [(x, y) for y in (size // 2, size + size // 2) for x in (size // 2, size + size // 2)]
    return np.array([read_region(photo, Region(x, y, 8), what="a patch").rgb for x, y in places])


def test_a_raw_file_gives_back_the_light_that_fell_on_it(tmp_path):
    path = tmp_path / "a.dng"
    path.write_bytes(dng_of(four(PATCHES)))
    photo = read_photo(path)
    assert photo.kind == "linear"
    # 16 bits and LibRaw's integer arithmetic.
    assert means(photo) == pytest.approx(PATCHES, abs=3e-4)
    assert "fixed daylight white balance" in photo.notes[0]


def test_the_development_does_not_depend_on_what_else_is_in_the_photo(tmp_path):
    found = []
    for other in (0.02, 0.95):
        path = tmp_path / "a.dng"
        path.write_bytes(dng_of(four([*PATCHES[:3], [other] * 3])))
        found.append(means(read_photo(path))[:3])
    assert found[0] == pytest.approx(found[1], abs=1e-4)


def test_strong_shades_of_a_raw_file_are_not_clipped_to_a_screens(tmp_path):
    # A camera whose primaries lie far out: its pure red is outside sRGB.
    to_srgb = np.array([[1.6, -0.5, -0.1], [-0.2, 1.4, -0.2], [0.0, -0.3, 1.3]])
    srgb_to_xyz = np.linalg.inv(
        [[3.2406, -1.5372, -0.4986], [-0.9689, 1.8758, 0.0415], [0.0557, -0.2040, 1.0570]]
    )
    path = tmp_path / "a.dng"
    matrix = np.linalg.inv(srgb_to_xyz @ to_srgb)
    path.write_bytes(dng_of(four([[0.5, 0.05, 0.05]] * 4), matrix=matrix))
    outside = to_srgb @ [0.5, 0.05, 0.05]
    assert outside[1] < -0.03
    assert means(read_photo(path))[0] == pytest.approx(outside, abs=2e-3)


def test_a_raw_file_without_a_matrix_is_unprofiled(tmp_path):
    path = tmp_path / "a.dng"
    path.write_bytes(dng_of(four(PATCHES), matrix=None))
    photo = read_photo(path)
    assert photo.kind == "unprofiled"
    assert means(photo) == pytest.approx(PATCHES, abs=3e-4)
    assert "primaries are not known" in photo.notes[0]


def test_clipped_pixels_of_a_raw_file_are_counted(tmp_path):
    path = tmp_path / "a.dng"
    path.write_bytes(dng_of(four([[1.0] * 3, *PATCHES[1:]])))
    photo = read_photo(path)
    assert read_region(photo, Region(20, 20, 8), what="a patch").clipped == 1
    assert read_region(photo, Region(60, 60, 8), what="a patch").clipped == 0
    assert WHITE - BLACK > 50_000


@pytest.mark.parametrize("more", [{}, {"compression": "zlib", "predictor": True}])
@pytest.mark.parametrize("planes", [False, True])
def test_a_16_bit_tiff_keeps_its_steps(tmp_path, more, planes):
    # Steps of which 8 bits would make one.
    codes = np.rint(four(PATCHES * 0.01) * 65535).astype(np.uint16)
    path = tmp_path / "a.tif"
    if planes:
        more = {**more, "planarconfig": "separate"}
        codes = np.moveaxis(codes, -1, 0)
    path.write_bytes(tiff16_of(codes, icc=profile(P3), **more))
    photo = read_photo(path, encoding="linear")
    assert photo.kind == "linear"
    expected = np.rint(PATCHES * 655.35) / 65535 @ matrix_decoder(profile(P3)).matrix.T
    assert means(photo) == pytest.approx(expected, abs=1e-9)
    assert photo.camera == "drawn camera"


def test_a_16_bit_tiff_with_a_curve_is_read_through_it(tmp_path):
    codes = np.rint(four(PATCHES) * 65535).astype(np.uint16)
    path = tmp_path / "a.tif"
    path.write_bytes(tiff16_of(codes))
    assert means(read_photo(path)) == pytest.approx(srgb_decode(PATCHES), abs=2e-5)
    path.write_bytes(tiff16_of(codes, compression="zlib"))
    assert "read in 8 bits" not in " ".join(read_photo(path).notes)


def test_a_heic_and_a_jpeg_of_one_scene_read_alike(tmp_path):
    codes = np.rint(four(PATCHES**0.4545) * 255).astype(np.uint8)
    heic = written(tmp_path / "a.heic", codes, "heic", icc=profile(P3), orientation=6)
    jpeg = written(tmp_path / "a.jpg", codes, "jpg", icc=profile(P3), orientation=6)
    assert read_photo(heic).notes == read_photo(jpeg).notes == ("profile 'made for a test'",)
    assert means(read_photo(heic)) == pytest.approx(means(read_photo(jpeg)), abs=0.01)


def test_a_heic_of_ten_bits_keeps_them(tmp_path):
    codes = np.full((64, 64, 3), 0x8000, np.uint16)
    made = pillow_heif.from_bytes("RGB;16", (64, 64), codes.tobytes())
    made.save(tmp_path / "a.heic", quality=-1, chroma=444)
    photo = read_photo(tmp_path / "a.heic")
    assert photo.picture.deep
    assert photo.light(photo.picture.whole()).mean() == pytest.approx(srgb_decode(0.5), rel=0.01)


@pytest.mark.parametrize(
    ("name", "content", "package", "extra"),
    [
        ("a.dng", dng_of(four(PATCHES)), "rawpy", "raw"),
        ("a.tif", tiff16_of(np.zeros((9, 9, 3), np.uint16)), "tifffile", "tiff16"),
        ("a.heic", b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(40), "pillow_heif", "heic"),
    ],
)
def test_a_missing_extra_is_named_with_its_command(
    tmp_path, monkeypatch, name, content, package, extra
):
    real = builtins.__import__

    def without(module, *args, **kwargs):
        if module == package:
            raise ImportError(module)
        return real(module, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    (tmp_path / name).write_bytes(content)
    with pytest.raises(PhotoRefused) as caught:
        read_photo(tmp_path / name)
    assert f"pip install 'swatchbath[{extra}]'" in str(caught.value)


def test_no_extra_is_imported_for_an_ordinary_photo(tmp_path):
    written(tmp_path / "a.jpg", np.zeros((20, 20, 3), np.uint8), "jpg")
    code = (
        "import sys, swatchbath.photo as p; p.read_photo(sys.argv[1]);"
        "print([m for m in ('rawpy', 'tifffile', 'pillow_heif') if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "a.jpg")], capture_output=True, text=True
    )
    assert run.stdout.strip() == "[]", run.stderr


def test_what_is_read_less_precisely_is_said(tmp_path):
    deep = np.rint(four(PATCHES) * 65535).astype(np.uint16)
    (tmp_path / "a.png").write_bytes(_png16(deep))
    assert "16-bit PNG, read in 8 bits" in read_photo(tmp_path / "a.png").notes
    Image.fromarray(np.zeros((20, 20, 3), np.uint8)).convert("P").save(tmp_path / "b.png")
    assert "holds at most 256 colours: less precise" in read_photo(tmp_path / "b.png").notes
    clear = Image.fromarray(np.zeros((20, 20, 4), np.uint8))
    clear.save(tmp_path / "c.webp")
    assert "transparency was left out" in read_photo(tmp_path / "c.webp").notes


def _png16(codes):
    """A 16-bit RGB PNG (PNG third edition), which Pillow cannot write."""
    chunks = [
        (b"IHDR", struct.pack(">2I5B", codes.shape[1], codes.shape[0], 16, 2, 0, 0, 0)),
        (b"IDAT", zlib.compress(b"".join(b"\0" + row.astype(">u2").tobytes() for row in codes))),
        (b"IEND", b""),
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        for kind, body in chunks
    )


def test_a_gain_map_is_noted_and_the_base_picture_used(tmp_path):
    codes = np.rint(four(PATCHES) * 255).astype(np.uint8)
    plain = read_photo(written(tmp_path / "a.jpg", codes, "jpg"))
    xmp = b'<x:xmpmeta><rdf:RDF xmlns:hdrgm="http://ns.adobe.com/hdr-gain-map/1.0/"/></x:xmpmeta>'
    data = written(tmp_path / "b.jpg", codes, "jpg", xmp=xmp).read_bytes()
    gain = io.BytesIO()
    Image.new("L", (20, 20), 90).save(gain, "JPEG")
    (tmp_path / "b.jpg").write_bytes(data + gain.getvalue())
    photo = read_photo(tmp_path / "b.jpg")
    assert any("gain map" in note for note in photo.notes)
    assert not any("gain map" in note for note in plain.notes)
    assert (photo.pixels == plain.pixels).all()


def test_of_several_pictures_the_first_is_used(tmp_path):
    first, second = (Image.new("RGB", (40, 40), c) for c in ("red", "blue"))
    first.save(tmp_path / "a.jpg", format="MPO", save_all=True, append_images=[second])
    first.save(tmp_path / "a.webp", save_all=True, append_images=[second], lossless=True)
    for name in ("a.jpg", "a.webp"):
        photo = read_photo(tmp_path / name)
        assert "holds several pictures; the first was used" in photo.notes
        assert photo.pixels[20, 20].argmax() == 0


def test_colours_told_by_numbers_are_those_of_the_profile():
    codes = np.random.default_rng(0).uniform(0, 1, (50, 3))
    by_profile = matrix_decoder(profile(P3))(codes)
    assert coded_decoder(CodedSpace(12, 13))(codes) == pytest.approx(by_profile, abs=2e-3)
    assert coded_decoder(CodedSpace(1, 13))(codes) == pytest.approx(srgb_decode(codes), abs=1e-12)
    assert coded_decoder(CodedSpace(9, 8))(np.ones(3)) == pytest.approx(np.ones(3), abs=1e-9)
    for transfer in (16, 18):
        with pytest.raises(PhotoRefused, match="HDR off"):
            coded_decoder(CodedSpace(9, transfer))


def test_an_avif_without_profile_is_read_by_its_numbers(tmp_path):
    path = written(tmp_path / "a.avif", np.full((32, 32, 3), [200, 40, 40], np.uint8), "avif")
    data = path.read_bytes()
    as_srgb = read_photo(path)
    place = data.index(b"colrnclx") + 8
    path.write_bytes(data[:place] + struct.pack(">HH", 12, 13) + data[place + 4 :])
    as_p3 = read_photo(path)
    assert as_p3.notes == ("colours coded as Display P3",)
    red = as_p3.light(as_p3.pixels)[16, 16, 0]
    assert red > 1.05 * as_srgb.light(as_srgb.pixels)[16, 16, 0]


def test_a_png_says_its_colours_by_numbers_too(tmp_path):
    data = written(tmp_path / "a.png", np.full((20, 20, 3), 200, np.uint8), "png").read_bytes()
    for body, says in [(b"\x0c\x0d\0\1", "Display P3"), (b"\x09\x10\0\1", None)]:
        chunk = b"\0\0\0\4cICP" + body + struct.pack(">I", zlib.crc32(b"cICP" + body))
        (tmp_path / "a.png").write_bytes(data[:33] + chunk + data[33:])
        if says:
            assert says in read_photo(tmp_path / "a.png").notes[0]
        else:
            with pytest.raises(PhotoRefused, match="HDR off"):
                read_photo(tmp_path / "a.png")


def test_adobe_rgb_is_known_by_its_mark_in_exif(tmp_path):
    exif = Image.Exif()
    exif[0x8769] = {0xA001: 65535, 0xA005: {1: "R03"}}
    codes = np.full((40, 40, 3), [60, 200, 90], np.uint8)
    Image.fromarray(codes).save(tmp_path / "a.png", exif=exif)
    photo = read_photo(tmp_path / "a.png")
    assert photo.notes == ("Adobe RGB, as the photo's EXIF says",)
    wide = [(0.640, 0.330), (0.210, 0.710), (0.150, 0.060)]
    by_profile = matrix_decoder(profile(wide, trc=563 / 256))(codes / 255)
    assert photo.light(photo.pixels) == pytest.approx(by_profile, abs=2e-3)
    linear = read_photo(tmp_path / "a.png", encoding="linear")
    assert linear.kind == "linear"
    assert linear.light(np.full((1, 3), 255, np.uint8)) == pytest.approx(1, abs=1e-9)


def _stated(data, form):
    """The same file, saying that its picture is 20000 x 20000."""
    big = 20_000
    if form == "png":
        head = b"IHDR" + struct.pack(">2I", big, big) + data[24:29]
        return data[:12] + head + struct.pack(">I", zlib.crc32(head)) + data[33:]
    if form == "jpg":
        at = data.index(b"\xff\xc0") + 5
        return data[:at] + struct.pack(">2H", big, big) + data[at + 4 :]
    if form == "webp":
        at = data.index(b"VP8X") + 12
        side = (16_383).to_bytes(3, "little")
        return data[:at] + side * 2 + data[at + 6 :]
    if form in ("avif", "heic"):
        at = data.index(b"ispe") + 8
        return data[:at] + struct.pack(">2I", big, big) + data[at + 8 :]
    (start,) = struct.unpack("<I", data[4:8])
    out = bytearray(data)
    (count,) = struct.unpack_from("<H", data, start)
    for place in range(start + 2, start + 2 + 12 * count, 12):
        if struct.unpack_from("<H", data, place)[0] in (256, 257, 278):
            struct.pack_into("<HI I", out, place + 2, 4, 1, big)
    return bytes(out)


@pytest.mark.parametrize("form", ["jpg", "png", "webp", "avif", "tif", "tif16", "heic", "dng"])
def test_a_file_that_claims_a_vast_picture_is_refused(tmp_path, form):
    path = tmp_path / f"a.{form[:3] if form == 'tif16' else form}"
    data = written(path, np.zeros((32, 32, 3), np.uint8), form, icc=profile(P3)).read_bytes()
    path.write_bytes(_stated(data, form))
    # WebP: Pillow 11 does not tell the size of one whose head and pixels disagree.
    older = form == "webp" and int(PIL.__version__.split(".")[0]) < 12
    says = "damaged" if form in ("avif", "heic", "dng") or older else "too large"
    code = (
        "import re, sys, swatchbath.photo as p\n"
        "try: p.read_photo(sys.argv[1])\n"
        "except p.PhotoRefused as e: print(e)\n"
        "if sys.platform == 'linux':\n"
        "    print(re.search(r'VmHWM:\\s+(\\d+)', open('/proc/self/status').read())[1])"
    ).replace("p.PhotoRefused", "__import__('swatchbath').PhotoRefused")
    run = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True)
    lines = run.stdout.splitlines()
    assert says in lines[0] or "too large" in lines[0], run.stderr
    if sys.platform == "linux":
        assert int(lines[1]) < 400_000  # kB; the picture would fill 1.2 GB


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from Linux")
@pytest.mark.parametrize("orientation", [1, 6])
def test_50_megapixels_are_measured_in_little_more_than_their_size(tmp_path, orientation):
    path = tmp_path / "a.jpg"
    small = np.full((61, 82, 3), 118, np.uint8)
    small[:20, :20] = [150, 90, 60]
    noise = np.random.default_rng(0).integers(-3, 4, (6100, 8200, 1))
    codes = (small.repeat(100, 0).repeat(100, 1) + noise).astype(np.uint8)
    written(path, codes, "jpg", orientation=orientation)
    head = "import PIL.Image, sys\nimport swatchbath as sb\nsb.measure\n"
    tail = "import re; print(re.search(r'VmHWM:\\s+(\\d+)', open('/proc/self/status').read())[1])"
    places = {1: "(1000, 1000, 400)", 6: "(5100, 1000, 400)"}
    measure = (
        "s = sb.measure(sys.argv[1], card=sb.Region(3000, 4000, 900),"
        f" swatches={{'a': sb.Region{places[orientation]}}})\nassert list(s) == ['a']\n"
    )
    env = {**os.environ, "OMP_NUM_THREADS": "1"}
    peaks = []
    for code in (head + tail, head + measure + tail):
        run = subprocess.run(
            [sys.executable, "-c", code, str(path)], capture_output=True, text=True, env=env
        )
        peaks.append(int(run.stdout.split()[-1]) * 1024)
    assert peaks[1] - peaks[0] < 2 * codes.nbytes


def test_a_tiff_of_one_plane_or_float_is_refused(tmp_path):
    for array in (np.zeros((30, 30), np.uint16), np.zeros((30, 30, 3), np.float32)):
        kind = "rgb" if array.ndim == 3 else "minisblack"
        tifffile.imwrite(tmp_path / "a.tif", array, photometric=kind, metadata=None)
        with pytest.raises(PhotoRefused):
            read_photo(tmp_path / "a.tif")


def test_a_hundred_megapixels_are_opened_and_not_one_more():
    """What a small computer's memory holds, whatever the file says of itself."""
    check_size("a.jpg", (10_000, 10_000))
    for size in ((10_001, 10_000), (10_000, 10_001), (100_000_001, 1)):
        with pytest.raises(PhotoRefused, match="too large .*at most 100 megapixels"):
            check_size("a.jpg", size)
