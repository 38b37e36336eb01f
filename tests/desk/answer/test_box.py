"""The box: every swatch in one bundle, filters as the record has it, alike but for one way."""

import numpy as np
import pytest

import swatchbath as sb
from swatchbath import desk
from swatchbath.colorimetry.difference import delta_e2000
from swatchbath.errors import BadValue, NotFound


@pytest.fixture(scope="module")
def library(tmp_path_factory):
    with sb.Library(tmp_path_factory.mktemp("box") / "house", create=True) as lib:
        desk.record_sample(lib)
        lib.add_swatch(name="bare")
        yield lib


def everything(library, by):
    """All swatches of all bundles, by the bundle's name."""
    pages = desk.box(library, by=by).pages
    names = [b.name for p in range(1, pages + 1) for b in desk.box(library, by=by, page=p).bundles]
    return {n: desk.box(library, by=by, bundle=n).bundles[0].swatches for n in names}


@pytest.mark.parametrize("by", desk.BOX_BY)
def test_every_swatch_lies_in_one_bundle(library, by):
    codes = [s.code for some in everything(library, by).values() for s in some]
    assert sorted(codes) == sorted(library.codes())


def test_a_bundle_by_colour_holds_what_its_words_say_from_light_to_dark(library):
    for name, some in everything(library, "colour").items():
        if name != "no colour yet":
            assert all(s.words.endswith(name) for s in some)
            lightness = [s.lab[0] for s in some]
            assert lightness == sorted(lightness, reverse=True)
    (bare,) = everything(library, "colour")["no colour yet"]
    assert bare.name == "bare" and bare.lab is None


@pytest.mark.parametrize("by, column", [("plant", "dyestuff"), ("lot", "lot"), ("day", "session")])
def test_a_bundle_holds_what_the_record_says(library, by, column):
    for name, some in everything(library, by).items():
        for one in some:
            swatch = library.swatch(one.code)
            told = swatch.conditions.get(column, getattr(swatch, column, None))
            assert (told or "not told") == name


def test_filters_are_those_of_the_record_and_count_what_they_give(library):
    for name, choices in desk.box(library).choices.items():
        for word, count in choices:
            assert desk.box(library, only={name: word}).found == count, (name, word)
    for column, name in (("fibre", "fibre"), ("mordant", "mordant"), ("modifier", "after")):
        for word, _ in desk.box(library).choices[name]:
            found = {s.code for s, _ in library.find(k=500) if s.conditions.get(column) == word}
            bundles = desk.box(library, by="lot", only={name: word}, each=100).bundles
            shown = {s.code for b in bundles for s in b.swatches}
            assert name == "mordant" or shown <= found


def test_words_are_those_of_find(library):
    found = {s.code for s, _ in library.find("madder iron", k=500)}
    bundles = desk.box(library, words="Madder IRON", each=100).bundles
    assert {s.code for b in bundles for s in b.swatches} == found


@pytest.mark.parametrize("way", desk.BOX_WAYS)
def test_alike_but_for_one_way_goes_that_way(library, way):
    own = library.swatch("24a").measured.lab
    chroma = np.hypot(*own[1:])
    for one in desk.alike(library, "24a", way):
        L, a, b = np.array(one.lab) - own
        along = {"lighter": L, "darker": -L, "redder": a, "greener": -a, "yellower": b,
                 "bluer": -b, "clearer": np.hypot(*one.lab[1:]) - chroma,
                 "greyer": chroma - np.hypot(*one.lab[1:])}[way]  # fmt: skip
        assert along >= 3
        assert one.under != "no difference to speak of"


def test_the_most_alike_comes_first(library):
    own = library.swatch("24a").measured.lab
    rest = [delta_e2000([own[0], *s.lab[1:]], own) for s in desk.alike(library, "24a", "lighter")]
    assert len(rest) > 2 and rest == sorted(rest)


def test_what_there_is_not_is_refused(library):
    for ask in (lambda: desk.box(library, by="x"), lambda: desk.box(library, only={"x": "y"}),
                lambda: desk.alike(library, "24a", "up"),
                lambda: desk.alike(library, "bare", "lighter")):  # fmt: skip
        with pytest.raises(BadValue):
            ask()
    with pytest.raises(NotFound):
        desk.alike(library, "nobody", "lighter")


@pytest.mark.parametrize("page", [-5, 0, 1, 10**9])
def test_a_page_that_is_not_there_is_the_nearest_that_is(library, page):
    found = desk.box(library, page=page)
    assert 1 <= found.page <= found.pages and found.bundles
