"""Long work in threads, that goes on while she does something else, and tells how far it is."""

from __future__ import annotations

import secrets
import sqlite3
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from ..errors import SwatchbathError
from .rendering import on_a_page

Progress = Callable[[int, int, str], None]
_KEPT = 50  # finished jobs that are remembered; our own choice


def fault_words(error: Exception, where: str) -> str:
    """What is said of an error that nobody foresaw; its details are kept in a file."""
    from .. import desk

    if isinstance(error, sqlite3.DatabaseError):  # no fault of ours, wherever it comes up
        return (
            "The library is damaged. Close the page, and restore the last backup into a new "
            "folder; nothing was changed."
        )
    file = desk.keep_details(error, ["page", where])
    kept = f"the details are in {file}" if file else "no file of details could be written"
    return (
        "Something went wrong in swatchbath itself, not in what you typed; nothing in the library "
        f"is half-written, and {kept}."
    )


@dataclass
class Job:
    """Some work. done of total, words : what is being done now; to : where its answer is, once it
    has one; wrong : what is wrong, as a sentence; result : what it left for that page."""

    what: str
    done: int = 0
    total: int = 0
    words: str = ""
    to: str | None = None
    wrong: str | None = None
    error: SwatchbathError | None = None
    result: Any = None
    ended: threading.Event = field(default_factory=threading.Event)


class Jobs:
    """All work of this server, by a name that nobody guesses."""

    def __init__(self) -> None:
        self._jobs: dict[str, Job] = {}
        self._lock = threading.Lock()

    def start(self, what: str, work: Callable[[Progress], str | tuple[str, Any]]) -> str:
        """Begin some work; returns its name. what : what is being done, in words. work : takes
        progress(done, total, words) and returns the address of its answer, or that and a result.
        """
        name, job = secrets.token_urlsafe(12), Job(what)
        with self._lock:
            ended = [n for n, j in self._jobs.items() if j.ended.is_set()]
            for old in ended[: max(len(ended) - _KEPT, 0)]:
                del self._jobs[old]
            self._jobs[name] = job
        threading.Thread(target=self._do, args=(job, work), daemon=True).start()
        return name

    def get(self, name: str) -> Job | None:
        """Some work by its name; None where it is not remembered."""
        return self._jobs.get(name)

    def going(self) -> list[tuple[str, Job]]:
        """The work that is still going on."""
        with self._lock:
            return [(n, j) for n, j in self._jobs.items() if not j.ended.is_set()]

    def _do(self, job: Job, work: Callable[[Progress], Any]) -> None:
        def progress(done: int, total: int, words: str) -> None:
            job.done, job.total, job.words = done, total, words

        try:
            answer = work(progress)
            to, job.result = answer if isinstance(answer, tuple) else (answer, None)
            job.to = to
        except SwatchbathError as error:
            job.wrong, job.error = on_a_page(error), error
        except Exception as error:  # the last handler of a thread: said plainly too
            job.wrong = fault_words(error, job.what)
        finally:
            job.ended.set()
