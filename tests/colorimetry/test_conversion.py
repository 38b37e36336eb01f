"""Readings of another light or observer as D65/2, against colour-science's spectra."""

import colour
import numpy as np
import pytest
from scipy.stats import chi2

from swatchbath import BadValue, Measurement, compare, cross_covariance
from swatchbath.colorimetry import WHITE_D65, bradford, delta_e2000, lab_to_xyz, xyz_to_lab
from swatchbath.colorimetry.conversion import to_d65_2
from swatchbath.colorimetry.measurement import LIGHTS, OBSERVERS

CMFS = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
UNLIKE = [(a, b) for a in LIGHTS for b in OBSERVERS if (a, b) != ("D65", "2")]


SHAPE = colour.SpectralShape(380, 780, 5)


def spectra_xyz(sds, light, observer):
    """XYZ (n, 3) of reflectances, and (3,) of a perfect diffuser, by colour-science alone."""
    name = {"F2": "FL2", "F11": "FL11"}.get(light, light)
    cmfs = colour.MSDS_CMFS[CMFS[observer]].copy().align(SHAPE)
    power = colour.SDS_ILLUMINANTS[name].copy().align(SHAPE)
    *found, white = (
        colour.sd_to_XYZ(sd, cmfs, power, method="Integration") / 100
        for sd in (*sds, colour.sd_ones(SHAPE))
    )
    return np.array(found), white


@pytest.fixture(scope="module")
def spectra():
    """(light, observer) -> XYZ of a 24-patch chart, on which nothing was fitted, and of white."""
    sds = [sd.copy().align(SHAPE) for sd in colour.SDS_COLOURCHECKERS["ISO 17321-1"].values()]
    return {(a, b): spectra_xyz(sds, a, b) for a in LIGHTS for b in OBSERVERS}


@pytest.fixture(scope="module")
def chart(spectra):
    """(light, observer) -> Lab (24, 3) of the chart."""
    return {under: xyz_to_lab(*found) for under, found in spectra.items()}


def read(lab, light, observer, **more):
    return Measurement(lab, np.zeros((3, 3)), light=light, observer=observer, **more)


@pytest.mark.parametrize(("light", "observer"), UNLIKE)
def test_an_unseen_chart_is_converted_better_and_its_regions_hold(chart, light, observer):
    true, as_read = chart["D65", "2"], chart[light, observer]
    done = [to_d65_2(read(lab, light, observer)) for lab in as_read]
    lab = np.array([m.lab for m in done])
    before, after = delta_e2000(as_read, true), delta_e2000(lab, true)
    assert np.median(after) < 0.65 * np.median(before)
    assert np.percentile(after, 95) < 0.65 * np.percentile(before, 95)
    off = true - lab
    far = np.array([o @ np.linalg.solve(m.covariance, o) for o, m in zip(off, done, strict=True)])
    # 24 patches: one of them is 4 %. A doubt three times too wide would hold all and more.
    assert (far < chi2.ppf(0.9, 3)).mean() >= 0.85
    assert (far < chi2.ppf(0.9, 3) / 9).mean() <= 0.85


@pytest.mark.parametrize(("light", "observer"), [("D65", "10"), ("D50", "2")])
def test_better_than_adaptation_alone(spectra, chart, light, observer):
    true, as_read = chart["D65", "2"], chart[light, observer]
    white = spectra[light, observer][1]
    adapted = xyz_to_lab(lab_to_xyz(as_read, white) @ bradford(white, WHITE_D65).T)
    lab = np.array([to_d65_2(read(one, light, observer)).lab for one in as_read])
    for share in (50, 95):
        ours, theirs = (np.percentile(delta_e2000(x, true), share) for x in (lab, adapted))
        assert ours < 0.8 * theirs


def test_what_is_d65_2_already_stays():
    m = Measurement([50, 10, 10])
    assert to_d65_2(m) is m


def test_the_conversion_is_noted_and_the_rest_kept():
    m = read([40, 20, 10], "D65", "10", photo="p1", notes=("dry",))
    done = to_d65_2(m)
    assert (done.light, done.observer, done.rung, done.photo) == ("D65", "2", "instrument", "p1")
    assert done.notes[0] == "dry" and "D65" in done.notes[1] and "10 degree" in done.notes[1]
    assert np.trace(done.trueness) > 0.1


@pytest.mark.parametrize(("light", "observer"), UNLIKE)
def test_an_even_grey_stays_as_it_is_and_vivid_colours_are_less_sure(light, observer):
    grey = to_d65_2(read([60, 0, 0], light, observer))
    assert grey.lab == pytest.approx([60, 0, 0], abs=1e-3)
    vivid = to_d65_2(read([60, 40, 40], light, observer))
    assert np.trace(grey.trueness) < 0.5 * np.trace(vivid.trueness)


def test_like_colours_share_most_of_the_doubt_and_unlike_ones_little():
    one, near, far = (
        to_d65_2(read(lab, "D65", "10")) for lab in ([50, 30, 20], [51, 31, 20], [50, -40, -20])
    )
    alone = np.trace(one.trueness)
    assert 0.4 * alone < np.trace(cross_covariance(one, near)) < 0.8 * alone
    assert abs(np.trace(cross_covariance(one, far))) < 0.2 * alone
    other = to_d65_2(read([50, 30, 20], "D50", "2"))
    assert not cross_covariance(one, other).any()


def test_the_readings_own_doubt_is_carried_through():
    rng = np.random.default_rng(0)
    own = np.diag([0.4, 0.9, 0.6])
    loading = np.array([[0.5], [0.2], [-0.4]])
    m = Measurement(
        [45, 25, -10], own, light="A", observer="10", trueness=own / 4 + loading @ loading.T,
        shared={"instrument": loading},
    )  # fmt: skip
    done = to_d65_2(m)
    exact = to_d65_2(read(m.lab, "A", "10"))
    drawn = [
        to_d65_2(read(x, "A", "10")).lab for x in rng.multivariate_normal(m.lab, own, 800)
    ]  # fmt: skip
    assert done.repeatability == pytest.approx(np.cov(np.array(drawn).T), abs=0.12)
    # The instrument's part moves as a small step along it does.
    moved = to_d65_2(read(m.lab + 0.01 * loading[:, 0], "A", "10")).lab - exact.lab
    assert done.shared["instrument"][:, 0] == pytest.approx(moved / 0.01, abs=0.02)
    assert np.linalg.eigvalsh(done.trueness - exact.trueness).min() > 0
    common = sum(a @ a.T for a in done.shared.values())
    assert np.linalg.eigvalsh(done.trueness - common).min() > -1e-9


def test_converted_readings_can_be_compared_with_a_photos():
    a = to_d65_2(Measurement([50, 30, 20], light="D65", observer="10"))
    assert compare(a, Measurement([50, 30, 20])).delta_e2000 < 2


def test_what_no_swatch_can_be_is_refused():
    with pytest.raises(BadValue, match="No swatch"):
        to_d65_2(read([50, 300, 0], "D65", "10"))
