"""Keeping a piece: what may be kept, what is said, and what is done by its name alone."""

import numpy as np
import pytest

import swatchbath as sb
from library_made import IRON
from shades_made import GOLD, dyed, put_lot, reading
from swatchbath.desk.answer.piece import piece
from swatchbath.errors import BadValue, NotFound


@pytest.fixture
def lib(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        yield lib


def test_a_swatch_a_lot_or_a_typed_colour_is_kept(lib):
    codes = put_lot(lib, "12", [GOLD, GOLD + [2, 0, 0]])
    piece(lib, codes[0], name="one")
    piece(lib, "12", name="lot", purpose="garment")
    piece(lib, "62,12,48", name="typed", within=3.0)
    piece(lib, "#c8a050", name="wish")
    one, lot, typed, wish = lib.kept_pieces()
    assert one.codes == (codes[0],) and one.within == 4
    assert lot.codes == tuple(codes) and lot.within == 2
    np.testing.assert_allclose(lot.lab, GOLD + [1, 0, 0])
    assert typed.codes == () and typed.within == 3 and (typed.lab == [62, 12, 48]).all()
    assert np.trace(wish.covariance) > np.trace(typed.covariance) > 0
    told = piece(lib).as_dict()
    assert [p["called"] for p in told["pieces"]] == ["one", "lot", "typed", "wish"]
    assert told["pieces"][1]["codes"] == codes and told["empty"] == ""


def test_what_is_said_says_what_to_do_next(lib):
    assert "swatchbath piece CODE" in piece(lib).as_dict()["empty"]
    (code,) = put_lot(lib, "12", [GOLD])
    said = " ".join(piece(lib, code, name="gold").said)
    assert "in the dark" in said and "--lies" in said
    assert "tin 3" in " ".join(piece(lib, name="gold", lies="tin 3").said)
    assert "without a piece of yarn" in " ".join(piece(lib, "62,12,48", name="typed").said)


def test_it_is_changed_and_let_go_by_its_name(lib):
    (code,) = put_lot(lib, "12", [GOLD])
    piece(lib, code, name="gold", lies="tin 3")
    piece(lib, name="Gold", purpose="family")
    kept = lib.kept_piece("gold")
    assert kept.within == 8 and kept.lies == "tin 3"
    assert "undo" in piece(lib, name="gold", let_go=True).said[0]
    assert piece(lib).pieces == ()


def test_what_cannot_be_is_refused(lib):
    codes = put_lot(lib, "12", [GOLD])
    odd = lib.add_swatch(lot="12", part="b", steps=[IRON], fibre={"fibre": "wool"})
    lib.add_measurement(odd, reading(GOLD - [20, 0, 0]))
    bare = lib.add_swatch(fibre={"fibre": "wool"}, steps=[dyed()])
    with pytest.raises(BadValue, match="not treated alike"):
        piece(lib, "12", name="gold")
    with pytest.raises(BadValue, match="no dry reading"):
        piece(lib, bare, name="gold")
    with pytest.raises(NotFound):
        piece(lib, "nobody", name="gold")
    with pytest.raises(BadValue, match="--as"):
        piece(lib, codes[0])
    with pytest.raises(BadValue, match="what to change"):
        piece(lib, name="gold")
    with pytest.raises(BadValue, match="leave the rest out"):
        piece(lib, codes[0], name="gold", let_go=True)
    with pytest.raises(NotFound, match="no kept piece"):
        piece(lib, name="gold", lies="tin 3")
    assert lib.kept_pieces() == []
