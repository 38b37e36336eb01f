"""No file leads back to itself through its imports, those for types alone included."""

from source_imports import ARROWS


def test_there_is_no_circle():
    done, path = set(), []

    def follow(name):
        assert name not in path, " -> ".join([*path[path.index(name) :], name])
        if name in done:
            return
        path.append(name)
        for target in sorted(ARROWS.get(name, ())):
            follow(target)
        path.pop()
        done.add(name)

    for name in ARROWS:
        follow(name)
