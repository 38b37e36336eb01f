"""Do these match: a photo put aside, the command's own numbers, and what she may err in."""

import json
from urllib.parse import parse_qs, urlsplit

import pytest

from command import run
from web_marks import PHOTO, SPOTS, after_jobs, sent, words

A, B = ("{:.0f},{:.0f}".format(*spot) for spot in SPOTS["swatch"][:2])
CARD = "{:.0f},{:.0f}".format(*SPOTS["card"][0])


@pytest.mark.parametrize("more", [{}, {"card": CARD}, {"for": "family"}], ids=str)
def test_the_numbers_are_the_commands(browse, more):
    draft = sent(browse, "/match")
    query = "".join(f"&{n}={v}" for n, v in more.items())
    text = words(after_jobs(browse, f"/match?draft={draft}&a={A}&b={B}{query}"))
    options = [w for n, v in ({"for": "garment"} | more).items() for w in (f"--{n}", v)]
    done = run("compare", "--photo", PHOTO, "--at", A, "--at", B, *options, "--json", ok=None)
    told = json.loads(done.stdout)
    low, high = told["interval"]
    assert told["sentence"] in text
    assert f"CIEDE2000 {told['difference']:.1f} ; the true one lies from {low:.1f} to" in text
    assert f"{high:.1f}" in text
    assert all(one in text for one in told["meanwhile"])
    assert "--" not in text
    # Both are shown as the fibre they are.
    assert after_jobs(browse, f"/match?draft={draft}&a={A}&b={B}{query}").text.count("/draft/") >= 2


def test_no_library_is_made_and_nothing_to_name(browse):
    draft = sent(browse, "/match")
    after_jobs(browse, f"/match?draft={draft}&a={A}&b={B}")
    assert not browse.folder.exists()


def test_two_of_hers_and_two_lots(house):
    for a, b in (("20a", "21a"), ("lot 20", "lot 21")):
        text = words(after_jobs(house, f"/match?a={a}&b={b}&for=customer"))
        done = run("compare", a, b, "--for", "customer", "--library", house.folder, "--json",
                   ok=None)  # fmt: skip
        told = json.loads(done.stdout)
        assert told["sentence"] in text
        assert f"CIEDE2000 {told['difference']:.1f}" in text


def test_swapped_and_a_second_lamp(browse):
    draft = sent(browse, "/match")
    fields = {"draft": draft, "a": A, "b": B, "for": "garment"}
    with open(PHOTO, "rb") as photo:
        answer = browse.fill("/match/further", fields | {"kind": "lamp"},
                             files={"photo": ("lamp.jpg", photo, "image/jpeg")})  # fmt: skip
    text = words(after_jobs(browse, answer.headers["location"]))
    assert "under that lamp" in text.lower() or "there" in text.lower()
    missing = browse.fill("/match/further", fields | {"kind": "swapped"})
    assert "No photo was chosen" in words(after_jobs(browse, missing.headers["location"]))


def test_what_cannot_be_is_said_beside_the_marks(browse):
    draft = sent(browse, "/match", name="<b>two</b>.jpg")
    for marks in (f"a={A}&b={A}", "a=1,1&b=2,2", "a=x&b=y", f"a={A}&b=99999,5", "a=1,1,1,1&b=2,2"):
        answer = after_jobs(browse, f"/match?draft={draft}&{marks}")
        assert answer.status_code == 422
        text = words(answer)
        assert "Do they match?" in text and "--" not in text
        assert "<b>two" not in answer.text
    assert browse.look("/match?a=nothing&b=else", ok=422)
    assert browse.look("/match?draft=" + "0" * 64, ok=404)
    assert "No photo was chosen" in browse.fill("/match", ok=422).text


def test_a_click_without_script_marks_and_then_answers(browse):
    draft = sent(browse, "/match")
    x, y = (v * 960 / 1600 for v in SPOTS["swatch"][0])
    at = f"&place.x={x:.0f}&place.y={y:.0f}"
    first = browse.get(f"/match?draft={draft}&which=a{at}").headers["location"]
    marked = parse_qs(urlsplit(first).query)["a"][0]
    pairs = zip(marked.split(","), SPOTS["swatch"][0], strict=True)
    assert all(abs(float(v) - s) < 2 for v, s in pairs)
    assert 'value="b" checked' in browse.look(first)
    third = browse.get(f"{first}&which=card{at}").headers["location"]
    assert parse_qs(urlsplit(third).query)["card"] == [marked]


def test_a_photo_that_is_kept_is_marked_to_be_recorded(browse):
    draft = sent(browse, "/match")
    answer = browse.fill("/match/keep", {"draft": draft, "a": A, "b": B, "card": CARD})
    text = browse.look(answer.headers["location"])
    assert f'value="{A}"' in text and f'value="{B}"' in text and f'value="{CARD}"' in text
    assert "not on record yet" in browse.look("/")


def test_a_lot_to_judge_leads_to_the_history(house):
    assert house.get("/match?piece=gold&lot=21").headers["location"].startswith("/history?piece=")
