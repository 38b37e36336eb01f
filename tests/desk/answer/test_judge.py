"""Judging a lot: the kept piece beside it first, and verdicts that are those of `compare`."""

import pytest

import swatchbath as sb
from command import run
from shades_made import GOLD, photo_in, put_lot, reading
from swatchbath import desk
from swatchbath.desk.answer.judge import judge
from swatchbath.errors import BadValue, NotFound


@pytest.fixture
def lib(tmp_path):
    with sb.Library(tmp_path / "lib", create=True) as lib:
        (code,) = put_lot(lib, "first", [GOLD])
        desk.piece(lib, code, name="gold", within=4, lies="tin 3")
        yield lib


def test_it_begins_with_laying_it_beside_the_piece(lib, tmp_path):
    put_lot(lib, "second", [GOLD + [0.5, 0, 0]])
    apart = judge(lib, "gold", "second")
    assert apart.first.startswith("First lay ")
    assert "tin 3" in apart.first and "one frame" in apart.first and not apart.in_one_photo
    photo = photo_in(lib, tmp_path, 1)
    codes = {s.lot: s.code for s in lib.swatches(lib.codes())}
    for lot, lab in (("first", GOLD), ("second", GOLD + [0.5, 0, 0])):
        lib.add_measurement(codes[lot], reading(lab, error=(5, 0, 0)), photo=photo)
    lib.add_measurement(codes["second"], reading(GOLD, camera="b"))  # later, and from elsewhere
    beside = judge(lib, "gold", "second")
    assert beside.first == "" and beside.in_one_photo and beside.result.same_photo
    assert beside.kept.lab == pytest.approx(GOLD + [5, 0, 0])
    assert beside.result.delta_e2000 == pytest.approx(
        sb.compare(beside.lot, beside.kept).delta_e2000
    )
    wide = apart.result.interval[1] - apart.result.interval[0]
    assert beside.result.interval[1] - beside.result.interval[0] <= wide


def test_a_typed_colour_has_no_yarn_to_lay_beside(lib):
    desk.piece(lib, "62,12,48", name="typed")
    put_lot(lib, "second", [GOLD])
    assert "typed colour" in judge(lib, "typed", "second").first


@pytest.mark.parametrize(
    ("off", "verdict", "words"),
    [
        ((0, 0, 0), "match", "It matches the kept piece: any difference is under 4."),
        ((30, 0, 0), "no match", "It differs from the kept piece"),
        ((4.5, 0, 0), "cannot tell", "all the same"),
    ],
)
def test_the_verdict_is_said_in_words_and_by_the_exit_code(lib, off, verdict, words):
    (code,) = put_lot(lib, "second", [GOLD + off])
    found = judge(lib, "gold", code)
    assert found.result.verdict == verdict and words in found.verdict_words
    shown = run("judge", "gold", code, "--library", lib.folder, ok=0 if verdict == "match" else 1)
    assert words.split(":")[0] in shown.stdout.replace("\n  ", " ").replace("\n", " ")


def test_it_is_put_into_the_history_once_and_undo_takes_it_out(lib):
    (code,) = put_lot(lib, "second", [GOLD])
    judge(lib, "gold", code)
    judge(lib, "gold", "second")
    assert lib.kept_piece("gold").judged == (code,)
    lib.undo()
    assert lib.kept_piece("gold").judged == ()


def test_the_kept_piece_outlasts_its_swatch(lib):
    lib.put_in_bin(lib.kept_piece("gold").codes[0])
    put_lot(lib, "second", [GOLD + [30, 0, 0]])
    found = judge(lib, "gold", "second")
    assert found.result.verdict == "no match" and found.kept.lab == pytest.approx(GOLD)


def test_what_cannot_be_judged_is_refused_and_nothing_is_kept(lib):
    with pytest.raises(NotFound, match="no kept piece"):
        judge(lib, "spring", "first")
    with pytest.raises(BadValue, match="itself"):
        judge(lib, "gold", "first")
    with pytest.raises(NotFound):
        judge(lib, "gold", "nobody")
    assert lib.kept_piece("gold").judged == ()


def test_the_page_hangs_the_piece_and_every_lot(lib, tmp_path):
    for k in range(3):
        put_lot(lib, f"lot {k}", [GOLD + [0, k, 0]])
        found = judge(lib, "gold", f"lot {k}")
    page = desk.write_judged(lib, found, tmp_path / "gold.html").read_text()
    assert page.count('class="thread"') == 4 and 'class="piece"' in page and "tin 3" in page
    assert page.index('class="piece"') < page.index("lot 0<")
    assert "<details>" in page and "<details open" not in page
