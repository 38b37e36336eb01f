"""Bytes spoilt at random, and limits under which they are read."""

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
