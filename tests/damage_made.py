"""Bytes spoilt at random, and limits under which they are read."""

import re
import signal
import sys
from contextlib import contextmanager

# What one file may take of time, s, and of memory beside what is taken already, bytes: far over
# what any of these small files needs, and far under what would stop a machine.
SECONDS, MEMORY = 60, 3_000_000_000


def mutated(data, rng):
    """Bytes with one to thirty of them changed, a piece cut off, doubled, zeroed or moved."""
    out = bytearray(data)
    how = rng.randrange(6)
    at, length = rng.randrange(len(out)), rng.choice((1, 4, 40, 500, 4096))
    if how == 0:
        del out[at:]
    elif how == 1:
        out[at : at + length] = bytes(len(out[at : at + length]))
    elif how == 2:
        out[at:at] = out[max(0, at - length) : at]
    elif how == 3:
        other = rng.randrange(len(out))
        piece = out[other : other + length]
        out[at : at + len(piece)] = piece
    else:
        for _ in range(rng.choice((1, 1, 2, 30))):
            out[rng.randrange(len(out))] = rng.randrange(256)
    return bytes(out)


# What a cell or a value may hold that its reader did not think of.
NASTY = (
    "", "nan", "inf", "-inf", "1e400", "-1e308", "9" * 400, "0x1F", "1_000", "\u0661\u0662", "None",
    "true", "null", "[]", "{}", "[" * 3000, "\"", "'", "=1+1", "\x00", "\ufeff", "\u202e",
    "\U0001f9f6", "../../etc", "a" * 70_000, "\n\n", ",,,,", "%", "1,5", "--", "-0", "D65/2", "#",
    "BEGIN_DATA", "END_DATA", "END_DATA_FORMAT", "NUMBER_OF_SETS", "380", "999999999", "1e-400",
    "swatch", "\t",
)  # fmt: skip


def misread(data, rng):
    """A text with one to three of its words, cells or values changed to what nobody expects."""
    parts = re.split(r"([,;:\s\[\]{}\"]+)", data.decode("utf-8"))
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        parts[rng.randrange(0, len(parts), 2)] = rng.choice(NASTY)
    return "".join(parts).encode("utf-8")


@contextmanager
def bounded():
    """Let nothing inside take longer or more memory than the limits; Linux alone."""
    if sys.platform != "linux":
        yield
        return
    import resource

    def late(*_):
        raise TimeoutError(f"over {SECONDS} s for one small file")

    with open("/proc/self/statm", encoding="ascii") as file:
        taken = int(file.read().split()[0]) * resource.getpagesize()
    before = resource.getrlimit(resource.RLIMIT_AS)
    was = signal.signal(signal.SIGALRM, late)
    resource.setrlimit(resource.RLIMIT_AS, (taken + MEMORY, before[1]))
    signal.setitimer(signal.ITIMER_REAL, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, was)
        resource.setrlimit(resource.RLIMIT_AS, before)
