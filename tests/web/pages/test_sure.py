"""How sure: what `explain` tells, with its charts, and nothing empty."""

import html
import re

from swatchbath import desk


def test_it_tells_what_explain_tells(looked):
    answer = looked.get("/sure")
    while answer.status_code == 303:
        name = answer.headers["location"].rpartition("/")[2]
        looked.app.state.shared.jobs.get(name).ended.wait(120)
        answer = looked.get("/sure")
    text = looked.look("/sure")
    told = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
    with desk.open_library(looked.folder) as library:
        found = desk.explain(library)
    lead, parts = desk.explanation_parts(found)
    assert all(line in told for line in lead)
    for part in parts:
        assert part.title in told and all(p in told for p in part.paragraphs)
    assert text.count("<svg xmlns") == sum(len(p.charts) for p in parts)
    assert "redder" in text and "yellower" in text
    assert not re.search(r'<div class="(charts|ground)"></div>', text)
