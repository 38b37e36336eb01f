"""Answers about a shade name what of her own to lay beside it, and what that would give."""

import json
import shutil

import numpy as np
import pytest

import swatchbath as sb
from command import run
from own_yarn import colours_of_yarn, library_of, own_photo, read_by_record, sheet_photo
from swatchbath import desk
from swatchbath.bath.step import Material, Step
from swatchbath.desk.answer.own_yarn import own_yarn_for
from swatchbath.desk.photo.shade import shade_in_photo
from swatchbath.desk.text.parse import parse_target

WELD = Step("dye", (Material("dyestuff", "weld", 80.0), Material("dyestuff", "madder", 5.0)))


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    """(folder, library, codes, colours, a photo of its own sheet, a plain photo of a shade)."""
    folder = tmp_path_factory.mktemp("own")
    colours, wanted = colours_of_yarn()
    library = folder / "library"
    codes = library_of(library, read_by_record(folder, colours))
    _, own = own_photo(folder, library, codes, colours, {7: wanted[0]})
    plain = sheet_photo(folder, "plain.jpg", {1: wanted[0]}, places=4, seed=3)
    return folder, library, codes, colours, own, plain


def told(*words, library, ok=0):
    return json.loads(run(*words, "--library", library, "--json", ok=ok).stdout)


@pytest.mark.parametrize("verb", [("suggest", "62,12,48"), ("find", "--colour", "#c8a050")])
def test_a_typed_shade_names_three_and_what_they_give(house, verb):
    _, library, codes, *_ = house
    answer = told(*verb, library=library)
    pieces = answer["lay_beside"]
    assert len(pieces) == 3 and {p["code"] for p in pieces} <= set(codes)
    assert set(pieces[0]) == {"code", "name", "dyestuff", "fibre", "words"}
    assert answer["give_or_take_beside"] < answer["give_or_take_now"]
    text = " ".join(run(*verb, "--library", library).stdout.split())
    assert (
        "Lay these three of your own touching the piece, dry, on plain paper by the grey card, and "
        "take one photo. Your camera misjudges like colours alike, so the difference from your own "
        "yarn stays true. They need not match." in text
    )
    assert f"give or take {answer['give_or_take_beside']:.0f} (as it was asked" in text
    for piece in pieces:
        assert f"{piece['code']} ({piece['name']})" in text


def test_a_shade_by_the_card_names_three_and_one_beside_three_names_none(house):
    _, library, *_, own, plain = house
    by_card = told("suggest", "--photo", plain, library=library)
    assert len(by_card["lay_beside"]) == 3 and "with the card alone" in by_card["lay_beside_words"]
    beside = told("suggest", "--photo", own, library=library)
    assert len(beside["target"]["beside"]) == 6 and beside["lay_beside"] == []
    (said,) = [s for s in beside["target"]["said"] if s.startswith("Read beside")]
    assert "with the card alone" in said
    assert beside["give_or_take_now"] is None and beside["lay_beside_words"] == ""


def test_what_is_promised_is_about_what_comes_of_it(house):
    """The sheet carries six of hers for any shade; the three that are named do as well or better
    for this one, but for what rounds."""
    _, library, *_, own, plain = house
    promised = told("suggest", "--photo", plain, library=library)
    beside = told("suggest", "--photo", own, library=library)
    (said,) = [s for s in beside["target"]["said"] if s.startswith("Read beside")]
    came = float(said.split("give or take ")[1].split()[0])
    assert promised["give_or_take_beside"] <= came + 1


def test_a_swatch_on_record_an_instrument_and_no_library_need_none(house):
    _, library, codes, *_ = house
    with sb.Library(library) as lib:
        assert own_yarn_for(lib, parse_target(codes[0], lib)).pieces == ()
        assert own_yarn_for(None, parse_target("62,12,48", None)).pieces == ()
        assert desk.find(lib).own_yarn.pieces == ()  # no colour was asked for
        # Words alone, and a comparison of two typed colours, have no shade to photograph.
        assert desk.compare(lib, "62,12,48", "60,12,48").own_yarn.pieces == ()
        beside = desk.compare(lib, codes[0], "62,12,48").own_yarn
        assert len(beside.pieces) == 3


def test_fewer_on_record_are_named_as_many_as_there_are(tmp_path):
    with sb.Library(tmp_path, create=True) as lib:
        assert own_yarn_for(lib, parse_target("#c8a050", lib)).pieces == ()
        key = lib.add_swatch(fibre={"fibre": "wool"}, steps=[WELD])
        lib.add_measurement(key, sb.Measurement([68, 8, 45]))
        found = own_yarn_for(lib, parse_target("#c8a050", lib))
        assert found.words.startswith("Lay this one of your own") and "It need not" in found.words
        (piece,) = found.as_dict()["lay_beside"]
        assert piece["dyestuff"] == "weld and madder" and piece["fibre"] == "wool"


def test_readings_that_describe_their_errors_otherwise_are_passed_over(tmp_path):
    with sb.Library(tmp_path, create=True) as lib:
        key = lib.add_swatch(fibre={"fibre": "wool"})
        odd = {"camera:x": np.ones((3, 4)), "photo:y": np.ones((3, 4))}
        lib.add_measurement(key, sb.Measurement([68, 8, 45], shared=odd))
        assert desk.find(lib, lab="62,12,48").own_yarn.now >= 0


def test_a_swatch_on_record_is_compared_in_the_frame_it_was_read_in(house):
    """The piece on the sheet was read beside hers: what both are off by alike is taken off."""
    _, library, codes, colours, own, plain = house
    with sb.Library(library) as lib:
        piece = shade_in_photo(lib, str(own)).target.value
        near = lib.find(lab=piece.lab, k=1)[0][0]
        result = desk.compare_in(library, near.code, None, photo=str(own)).result
    # As if the two shared nothing, the doubt of both counts in full.
    unrelated = sb.compare(piece.replace(shared={}, trueness=piece.trueness), near.measured)
    # Of readings 3.4 apart the upper end shows it little: where doubt is large, a small difference
    # is seldom read so small.
    assert result.interval[1] < unrelated.interval[1]
    assert result.smallest_tolerance < 0.7 * unrelated.smallest_tolerance
    by_card = desk.compare_in(library, near.code, None, photo=str(plain)).result
    assert result.smallest_tolerance < 0.7 * by_card.smallest_tolerance


def test_two_lots_on_one_sheet_are_still_compared_by_their_photo(house, tmp_path):
    _, library, codes, colours, *_ = house
    photo = sheet_photo(tmp_path, "two.jpg", {1: colours[1], 2: colours[1] * 1.02}, places=4)
    here = tmp_path / "copy"
    shutil.copytree(library, here)
    one, two = told("photos", photo, library=here)["new"]
    result = told("compare", one, two, library=here)
    assert result["same_photo"] and result["lay_beside"] == []
    assert result["smallest_tolerance"] < 3
