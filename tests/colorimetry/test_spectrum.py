"""Lab of a spectrum: against ASTM E308's worked sample, tables of CIE 15 and sums of our own."""

import colour
import numpy as np
import pytest

from swatchbath import BadValue, ShapeError
from swatchbath.colorimetry import delta_e2000, xyz_to_lab
from swatchbath.colorimetry.measurement import LIGHTS, OBSERVERS
from swatchbath.colorimetry.spectrum import LAMPS, Spectrum, spectrum_of

# The sample that colour-science's documentation works out by the practice, 400 to 700 nm in 20 nm.
WORKED = [
    0.0641, 0.0645, 0.0562, 0.0537, 0.0559, 0.0651, 0.0705, 0.0772, 0.0870, 0.1128, 0.1360, 0.1511,
    0.1688, 0.1996, 0.2397, 0.2852,
]  # fmt: skip
# Tubes have another name in colour-science's tables than in CIE 15.
FLUORESCENT = {"F2": "FL2", "F11": "FL11"}
# White of ASTM E308-15 table 5 (CIE 15:2018 T.3 beside it): D65 with 2 degrees.
WHITE_D65_2 = np.array([95.047, 100.0, 108.883]) / 100


def test_the_worked_sample_of_the_practice_comes_out():
    worked = np.array([10.8405832, 9.6844909, 6.2155622]) / 100  # its XYZ there, D65 and 2 degrees
    found = Spectrum(400, 20, WORKED).lab("D65", "2")
    assert delta_e2000(found, xyz_to_lab(worked, WHITE_D65_2)) < 0.01


def chart():
    """Reflectances of 24 patches (colour-science's table of a chart), each nanometre."""
    shape = colour.SpectralShape(380, 730, 1)
    sds = colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()
    return np.array([sd.copy().align(shape).values for sd in sds])


def summed(values, light, observer):
    """Lab of reflectances each nanometre from 380 to 730, by plain sums over CIE's own tables."""
    shape = colour.SpectralShape(380, 730, 1)
    name = {
        "2": "CIE 1931 2 Degree Standard Observer",
        "10": "CIE 1964 10 Degree Standard Observer",
    }
    cmfs = colour.MSDS_CMFS[name[observer]].copy().align(shape).values
    power = colour.SDS_ILLUMINANTS[FLUORESCENT.get(light, light)].copy().align(shape).values
    weights = cmfs * power[:, None]
    return xyz_to_lab(values @ weights / weights[:, 1].sum(), weights.sum(0) / weights[:, 1].sum())


# Narrow lines of a tube are not met by 20 nm; the practice itself warns of that.
@pytest.mark.parametrize(
    ("step", "close", "by_lines"), [(1, 0.05, 0.1), (5, 0.1, 0.4), (10, 0.15, 0.6), (20, 0.9, 2.5)]
)
@pytest.mark.parametrize("light", LAMPS)
@pytest.mark.parametrize("observer", OBSERVERS)
def test_each_step_agrees_with_sums_at_every_nanometre(step, close, by_lines, light, observer):
    all_of_it = chart()
    found = np.array([Spectrum(380, step, v[::step]).lab(light, observer) for v in all_of_it[::8]])
    off = delta_e2000(found, summed(all_of_it[::8], light, observer))
    assert off.max() < (by_lines if light in ("F2", "F11") else close)


@pytest.mark.parametrize("light", LAMPS)
@pytest.mark.parametrize("observer", OBSERVERS)
@pytest.mark.parametrize("step", [1, 5, 10, 20])
def test_an_even_reflectance_is_grey_under_every_light(step, light, observer):
    count = 340 // step + 1
    assert np.allclose(Spectrum(380, step, np.ones(count)).lab(light, observer), [100, 0, 0])
    L, a, b = Spectrum(380, step, np.full(count, 0.2)).lab(light, observer)
    assert 51 < L < 53 and abs(a) < 1e-6 and abs(b) < 1e-6


def test_every_light_of_a_typed_reading_is_a_lamp_here():
    assert set(LIGHTS) <= set(LAMPS)


def test_what_lies_beyond_the_eye_changes_nothing_and_a_short_end_counts_as_its_last():
    inner = np.interp(np.arange(360, 781, 10), [360, 780], [0.1, 0.6])
    beyond = np.concatenate([np.full(6, 1.9), inner, np.full(22, 1.9)])
    assert np.allclose(Spectrum(300, 10, beyond).lab("A"), Spectrum(360, 10, inner).lab("A"))
    short = np.interp(np.arange(400, 701, 10), [360, 780], [0.1, 0.6])
    held = np.concatenate([[short[0]] * 4, short, [short[-1]] * 8])
    assert np.allclose(Spectrum(400, 10, short).lab(), Spectrum(360, 10, held).lab(), atol=1e-6)


def test_wavelengths_may_come_in_any_order():
    nm, read = np.arange(380, 731, 10), np.linspace(0.1, 0.7, 36)
    mixed = np.random.default_rng(1).permutation(36)
    found = spectrum_of(nm[mixed], read[mixed])
    assert (found.start, found.step) == (380, 10) and np.array_equal(found.values, read)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: Spectrum(380, 7, np.ones(51)), "steps of 7 nm"),
        (lambda: Spectrum(390, 20, np.ones(20)), "multiple of 20"),
        (lambda: Spectrum(410, 10, np.ones(33)), "from 410 to 730"),
        (lambda: Spectrum(380, 10, np.ones(32)), "from 380 to 690"),
        (lambda: Spectrum(380, 10, [0.2] * 35 + [21.0]), "21 at 730 nm"),
        (lambda: Spectrum(380, 10, [-0.2] + [0.1] * 35), "-0.2 at 380 nm"),
        (lambda: Spectrum(380, 10, [0.2] * 35 + [np.nan]), "nan at 730 nm"),
        (lambda: Spectrum(380, 10, ["much"]), "no row of numbers"),
        (lambda: spectrum_of([380, 390, 401], [1, 1, 1]), "not evenly spaced"),
        (lambda: spectrum_of([380], [1]), "not evenly spaced"),
        (lambda: spectrum_of([380, 380], [1, 1]), "not evenly spaced"),
        (lambda: Spectrum(380, 10, np.ones(36)).lab("moon"), "no light 'moon'"),
        (lambda: Spectrum(380, 10, np.ones(36)).lab("D65", "3"), "no observer '3'"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_one_sentence(make, said):
    with pytest.raises(BadValue, match=said):
        make()


def test_a_table_is_no_spectrum():
    with pytest.raises(ShapeError):
        Spectrum(380, 10, np.ones((36, 2)))
    with pytest.raises(ShapeError):
        spectrum_of([380, 390], [1])
