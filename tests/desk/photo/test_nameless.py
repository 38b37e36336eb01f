"""Photos that lost the camera's name on their way teach a library as well as those that kept it."""

from datetime import datetime, timedelta

import numpy as np
import pytest

from nameless_photos import nameless_sample
from record_made import SAMPLE
from swatchbath import desk
from swatchbath.bath.steps import steps_of
from swatchbath.colorimetry import Measurement
from swatchbath.colorimetry.lab import SRGB_TO_XYZ, lab_to_xyz, xyz_to_linear_srgb
from swatchbath.desk.photo.whose_camera import whose_camera
from swatchbath.library import Library
from swatchbath.photo import Photo
from swatchbath.photo.correction.corrections import correct
from swatchbath.photo.correction.origin import sources_of
from swatchbath.photo.file.icc import srgb_decoder

# Six invented plants: the colour of the strongest bath on wool, L*, a*, b*.
WHOLE_SEARCH = True  # the baths themselves are judged
PLANTS = {
    "weld": (68, -4, 70), "madder": (42, 45, 26), "walnut hull": (36, 9, 18),
    "onion skin": (58, 24, 58), "marigold": (66, 12, 62), "goldenrod": (66, 2, 54),
}  # fmt: skip
FIBRES = {"wool": 1.0, "silk": 0.8, "cotton": 0.55}
WHITE = np.array([92.0, 0.0, 8.0])
DAY = datetime(2026, 4, 3, 10, 20)


def invented():
    """34 swatches: plant, fibre, percent of the fibre, true Lab and sheet (0 to 4)."""
    out = []
    strengths, fibres = (4, 3, 2, 2, 2, 2), (3, 2, 2, 2, 2, 2)
    for (plant, full), n, m in zip(PLANTS.items(), strengths, fibres, strict=True):
        for fibre, takes in list(FIBRES.items())[:m]:
            for owf in (20, 50, 100, 150)[:n]:
                depth = 1 - np.exp(-takes * owf / 45)
                out.append((plant, fibre, owf, WHITE + depth * (np.array(full) - WHITE)))
    rng = np.random.default_rng(7)
    sheets = rng.permutation(len(out)) % 5
    return [(*row, int(sheet)) for row, sheet in zip(out, sheets, strict=True)]


def sheet_photo(number, camera, *, timed=True):
    """A photo with nothing in it but what its file tells: its camera, and when it was taken."""
    taken = DAY + timedelta(days=9 * (number // 2), minutes=8 * number)  # two at one go, twice
    return Photo(
        picture=np.zeros((2, 2, 3), np.uint8), decoder=srgb_decoder("sRGB"), name=f"{number}.jpg",
        id=f"{number}" * 64, camera=camera, kind="rendered", notes=(),
        taken=taken if timed else None,
    )  # fmt: skip


def read_by(photo, labs, name):
    """The loadings by source of the readings of one sheet, as the card rung has them."""
    rgb = xyz_to_linear_srgb(lab_to_xyz(np.array(labs)))
    sources = sources_of(photo, "unnamed", np.zeros(2), camera_name=name, sitting=None)
    return correct(
        np.clip(rgb, 0.004, 0.95), card_rgb=np.full(3, 0.18), card_lab=None, encoding="rendered",
        rgb_to_xyz=SRGB_TO_XYZ, sources=sources,
    )  # fmt: skip


def left_out(folder, camera, name_of=lambda photo, lib: None, *, timed=True, seed=11):
    """The mean left-out error of a library of the swatches. name_of : what their camera counts
    as, for a photo and the library. timed : whether their files say when they were taken."""
    rng, u = np.random.default_rng(seed), {}
    rows = invented()
    with Library(folder, create=True) as lib, lib.atomic():
        for sheet in range(5):
            here = [row for row in rows if row[4] == sheet]
            truth = [row[3] for row in here]
            # What the phone does wrong is the same whatever the files tell of it.
            real = read_by(sheet_photo(sheet, "Phone"), truth, None)
            off = np.zeros((len(here), 3))
            for source, loading in sorted(real.shared.items()):
                of = u.setdefault(source, rng.normal(size=loading.shape[2]))
                off += loading @ of / np.sqrt(1.5)
            photo = sheet_photo(sheet, camera, timed=timed)
            known = read_by(photo, truth, name_of(photo, lib))
            for i, (plant, fibre, owf, lab, _) in enumerate(here):
                noise = rng.normal(size=3) * 0.4
                key = lib.add_swatch(
                    lot=lib.add_lot([], name=f"{plant} {owf} {fibre}", session=f"day {sheet}"),
                    fibre={"fibre": fibre},
                    steps=steps_of(
                        {"dyestuff": plant, "dye_owf": float(owf), "mordant": "alum",
                         "mordant_owf": 12.0, "pH": 6.0}
                    ),
                )  # fmt: skip
                shared = {s: v[i] for s, v in known.shared.items()}
                reading = Measurement(
                    lab - off[i] + noise, np.eye(3) * 0.5, trueness=known.trueness[i],
                    shared=shared, rung="card", photo=str(sheet) * 64, degrees=known.degrees,
                )  # fmt: skip
                lib.add_measurement(key, reading)
    with Library(folder) as lib:
        return float(np.nanmean(desk.learn(lib).model.cross_validation_.delta_e2000))


def unnamed(photo, lib):
    return whose_camera(photo, None, lib).name


def test_34_swatches_on_five_sheets_teach_as_well_without_names(tmp_path):
    rows = invented()
    assert len(rows) == 34 and len({r[0] for r in rows}) == 6 and len({r[4] for r in rows}) == 5
    named = left_out(tmp_path / "named", "Phone")
    assert left_out(tmp_path / "nameless", None, unnamed) <= 1.1 * named
    # Each photo a camera of its own, as they are where there is no library: then it does harm.
    assert left_out(tmp_path / "strangers", None) > 1.5 * named


@pytest.mark.slow
def test_when_they_were_taken_is_lost_with_little_harm(tmp_path):
    """A messenger takes the time off as well, and with it which sheets are of one sitting."""
    errors = np.array(
        [
            [
                left_out(tmp_path / f"named {seed}", "Phone", seed=seed),
                left_out(tmp_path / f"lost {seed}", None, unnamed, timed=False, seed=seed),
            ]
            for seed in range(11, 19)
        ]
    )
    named, lost = errors.mean(axis=0)
    assert lost <= 1.15 * named


@pytest.mark.slow
def test_the_sample_without_a_word_of_its_cameras_teaches_as_well(tmp_path):
    errors = {}
    for folder in (SAMPLE, nameless_sample(SAMPLE, tmp_path / "nameless")):
        with Library(tmp_path / f"lib {folder.name}", create=True) as lib:
            done = desk.record_table(
                lib, folder / "baths.csv", marks=folder / "marks.csv", photos=folder / "photos",
                cards=folder / "cards.csv",
            )  # fmt: skip
            error = desk.learn(lib).model.cross_validation_.delta_e2000
            errors[folder.name] = float(np.nanmean(error))
            nameless = [p for p in lib.photos() if p.camera is None]
    assert len(nameless) == done.photos > 10 and f"{done.photos} photos do not" in done.notes[0]
    assert errors["nameless"] <= 1.1 * errors[SAMPLE.name]
