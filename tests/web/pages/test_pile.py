"""A pile: the command's own groups, from one photo or several."""

import json

from command import run
from web_marks import PHOTO, SPOTS, after_jobs, sent, words

CARD = "{:.0f},{:.0f}".format(*SPOTS["card"][0])
AT = ["{:.0f},{:.0f}".format(*spot) for spot in SPOTS["swatch"]]


def test_the_groups_are_the_commands(browse):
    draft = sent(browse, "/pile")
    at = "".join(f"&at1={one}" for one in AT)
    asked = f"/pile?draft={draft}&card1={CARD}{at}&n=2&shown=1&for=customer"
    text = words(after_jobs(browse, asked))
    options = [w for one in AT for w in ("--at", one)]
    done = run("pile", "--photo", PHOTO, "--card", CARD, *options, "--for", "customer", "--row",
               "--json", ok=None)  # fmt: skip
    told = json.loads(done.stdout)
    assert told["words"] in text and told["row_words"] in text
    for group in told["groups"]:
        assert group["words"] in text
        assert all(f"CIEDE2000 {one['delta_e2000']:.1f}" in text for one in group["cannot_tell"])
    assert not browse.folder.exists()


def test_two_photos_are_marked_one_after_the_other(browse):
    draft = sent(browse, "/pile")
    both = f"/pile?draft={draft}&draft={draft}"
    assert "Photo 1 of 2" in browse.look(both)
    first = f"{both}&card1={CARD}&at1={AT[0]}&n=2&shown=1"
    text = browse.look(first)
    assert "Photo 2 of 2" in text and f'name="at1" value="{AT[0]}"' in text
    text = words(after_jobs(browse, f"{first}&card2={CARD}&at2={AT[0]}&n=3&shown=2"))
    assert "2 skeins" in text and "2.1" in text


def test_what_is_missing_is_said_beside_the_marks(browse):
    draft = sent(browse, "/pile")
    for marks in ("", f"&at1={AT[0]}", f"&card1={CARD}&at1={AT[0]}", f"&card1=1,1&at1={AT[0]}"):
        answer = after_jobs(browse, f"/pile?draft={draft}&n=2&shown=1{marks}")
        assert answer.status_code == 422
        assert "--" not in words(answer)
    assert "No photo was chosen" in browse.fill("/pile", ok=422).text


def test_a_click_without_script_is_one_more_skein(browse):
    draft = sent(browse, "/pile")
    on = f"/pile?draft={draft}&shown=1&n=2&at1={AT[0]}&which=more&place.x=30&place.y=60"
    text = browse.look(browse.get(on).headers["location"])
    assert text.count('name="at1" value="') >= 2 and 'value="50,100"' in text
