"""The page as it runs: many at once, beside the command line, killed, opened once more."""

import http.client
import json
import os
import re
import signal
import subprocess
import sys
import threading

import pytest

from page_made import check_page
from swatchbath import desk
from swatchbath.errors import BadValue
from swatchbath.web.server import Door, bound


class Served:
    """`swatchbath page` in a process of its own, and a browser that was let in."""

    def __init__(self, folder, home):
        self.env = {**os.environ, "XDG_STATE_HOME": str(home), "OMP_NUM_THREADS": "1"}
        self.words = [sys.executable, "-m", "swatchbath.cli", "page", "--no-open", "--json",
                      "--library", str(folder)]  # fmt: skip
        self.process = subprocess.Popen(
            self.words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=self.env, text=True
        )
        told = ""
        for line in self.process.stdout:
            told += line
            if line.startswith("}"):
                break
        self.address = json.loads(told)["address"]
        self.port = int(re.search(r":(\d+)/", self.address)[1])
        let_in = self.ask("/?" + self.address.partition("?")[2])
        self.cookie = let_in[1]["set-cookie"].partition(";")[0]

    def ask(self, path, fields=None):
        """Status, headers and text of an answer."""
        asked = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        headers = {"Cookie": getattr(self, "cookie", "")}
        if fields is None:
            asked.request("GET", path, headers=headers)
        else:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
            asked.request("POST", path, fields, headers)
        answer = asked.getresponse()
        text = answer.read().decode("utf-8", "replace")
        asked.close()
        return answer.status, {k.lower(): v for k, v in answer.getheaders()}, text

    def token(self):
        return re.search(r'name="token" value="(\w+)"', self.ask("/keep")[2])[1]

    def end(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        self.process.communicate(timeout=30)
        return self.process.returncode


@pytest.fixture
def served(house, tmp_path):
    found = Served(house.folder, tmp_path / "state")
    yield found
    found.end()


def test_two_hundred_requests_at_once_are_all_answered_whole(served):
    paths = ["/", "/box?by=plant", "/swatch/01a", "/box?words=%3Cb%3E", "/swatch/nobody"] * 40
    answers = [None] * len(paths)

    def ask(i):
        answers[i] = served.ask(paths[i])

    threads = [threading.Thread(target=ask, args=(i,)) for i in range(len(paths))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(300)
    for path, answer in zip(paths, answers, strict=True):
        assert answer[0] == (404 if path.endswith("nobody") else 200), path
        assert answer[2].rstrip().endswith("</html>")


def test_only_this_machine_is_listened_to(served):
    with pytest.raises(OSError):
        other = http.client.HTTPConnection("127.0.0.2", served.port, timeout=2)
        other.request("GET", "/")


def test_a_second_start_opens_the_page_that_is_there_and_each_key_works_once(served):
    again = subprocess.run(served.words, capture_output=True, text=True, env=served.env, timeout=60)
    address = json.loads(again.stdout)["address"]
    assert f":{served.port}/" in address and address != served.address
    key = address.partition("?")[2]
    assert served.ask(f"/?{key}")[0] == 200
    del served.cookie
    assert served.ask(f"/?{key}")[0] == 403


def test_command_line_and_page_work_on_one_library_at_once(served, house):
    with desk.open_library(house.folder) as library:
        desk.edit(library, "01a", ["note=by the command"])
    assert "by the command" in served.ask("/swatch/01a")[2]
    answer = served.ask("/swatch/01a/bin", f"token={served.token()}&why=moths")
    assert answer[0] == 303
    with desk.open_library(house.folder) as library:
        assert [t.what for t in desk.bin(library).things]
        desk.undo(library)
    assert served.ask("/swatch/01a")[0] == 200


def test_killing_the_server_loses_nothing_that_was_entered(served, house, tmp_path):
    answer = served.ask("/swatch/02a/edit", f"token={served.token()}&was-pH=6&is-pH=5.5")
    assert answer[0] == 303
    served.process.kill()
    served.process.communicate(timeout=30)
    again = Served(house.folder, tmp_path / "state")
    try:
        assert again.port == served.port  # the browser's pictures and its open window still fit
        assert again.cookie != served.cookie
        assert "5.5" in again.ask("/swatch/02a")[2]
    finally:
        assert again.end() == 0
    assert not desk.verify(house.folder).findings


def test_it_is_closed_from_the_page(served):
    status, _, text = served.ask("/keep/close", f"token={served.token()}")
    assert status == 200 and "Closed" in text
    served.process.communicate(timeout=30)
    assert served.process.returncode == 0


def test_a_port_that_is_taken_is_said(served):
    with pytest.raises(BadValue, match="another program"):
        bound(served.port)


def test_only_she_can_read_the_key(tmp_path):
    door = Door(tmp_path / "state" / "page.json")
    key = door.new_key(8123)
    if os.name == "posix":
        assert door.file.stat().st_mode & 0o077 == 0
    assert door.port() == 8123
    assert not door.opens("") and not door.opens("guess") and not door.opens("é")
    assert door.opens(key) and not door.opens(key)
    assert door.port() == 8123
    door.file.write_text("[]")
    assert door.port() is None and not door.opens("x")


def test_pages_are_whole(served):
    class Answer:
        status, headers, text = served.ask("/")

    check_page(Answer)
