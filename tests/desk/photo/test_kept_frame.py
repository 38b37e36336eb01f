"""What lay in a photo is kept so that it comes back the same."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from library_made import a_photo
from swatchbath.desk.photo.in_frame import KnownInFrame
from swatchbath.desk.photo.kept_frame import frame_as_values, frame_from_values
from swatchbath.errors import BadValue
from swatchbath.library import Library
from swatchbath.library.rows.photos import frame_as_json
from swatchbath.photo import CameraProfile, Card, Chart, Region

NUMBER = st.floats(0, 4000)
REGION = st.one_of(
    st.builds(Region, NUMBER, NUMBER, st.floats(1, 500)),
    st.builds(
        lambda x, y, r, ry, angle: Region.ellipse(x, y, r, ry, angle=angle),
        NUMBER, NUMBER, st.floats(1, 99), st.floats(1, 99), st.floats(-90, 90),
    ),
    st.lists(st.tuples(NUMBER, NUMBER), min_size=3, max_size=5, unique=True)
    .filter(lambda p: np.ptp(np.array(p), axis=0).max() > 0)
    .map(Region.polygon),
)  # fmt: skip
LAB = st.tuples(st.floats(1, 100), st.floats(-90, 90), st.floats(-90, 90))
CARD = st.builds(lambda r, lab: Card(r, lab=lab), REGION, st.none() | LAB)


@given(
    card=st.none() | CARD,
    further=st.lists(CARD, max_size=2),
    paper=st.lists(REGION, max_size=3),
    places=st.dictionaries(st.text(min_size=1), REGION, max_size=3),
    encoding=st.sampled_from([None, "linear"]),
)
def test_places_and_cards_come_back(card, further, paper, places, encoding):
    known = KnownInFrame(card=card, further=further, paper=paper, encoding=encoding)
    values = frame_as_values(known, places, beside=["3K7PX"] if places else None)
    frame_as_json(values)  # can be kept
    back, where, beside = frame_from_values(values, None)
    assert where == places and beside == (["3K7PX"] if places else [])
    assert (list(back.paper), back.encoding) == (paper, encoding)
    for one, two in zip([card, *further], [back.card, *back.further], strict=True):
        assert (one is None) == (two is None)
        if one is not None:
            assert one.region == two.region
            assert (one.lab is None) == (two.lab is None) and np.all(one.lab == two.lab)


def test_a_chart_a_profile_and_a_blank_sheet_come_back(tmp_path):
    profile = CameraProfile(
        "Maker 3", "north", "rendered", np.eye(3), np.eye(3) + 1, ("p",) * 3, np.zeros((1, 2))
    )
    with Library(tmp_path / "lib", create=True) as lib:
        blank = lib.add_photo(a_photo(tmp_path / "blank.png"))
        known = KnownInFrame(
            chart=Chart([[0, 0], [90, 0], [90, 60], [0, 60]], leave_out=(3,)),
            white=Card(Region(1, 2, 3), lab=(95, 0, 0)),
            black=Card(Region(7, 2, 3), lab=(20, 0, 0)),
            known={"a": (50.0, 1.0, 2.0)}, camera=profile, blank=tmp_path / "blank.png",
        )  # fmt: skip
        back, _, _ = frame_from_values(frame_as_values(known, {}, blank=blank), lib)
        assert back.blank == lib.photo(blank)
    assert np.all(back.chart.corners == known.chart.corners)
    assert np.all(back.chart.lab == known.chart.lab) and back.chart.leave_out == {3}
    assert back.camera.to_json() == profile.to_json()
    assert back.known == {"a": [50.0, 1.0, 2.0]}
    assert back.white.lab.tolist() == [95, 0, 0] and back.black.region == Region(7, 2, 3)


@pytest.mark.parametrize("values", [{"card": 5}, {"card": {"lab": None}}, {"swatches": {"a": {}}}])
def test_what_is_no_frame_is_said(values):
    with pytest.raises(BadValue, match="way known here"):
        frame_from_values(values, None)
