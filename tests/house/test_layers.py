"""Imports go down only: between folders, and between the rooms of a folder (DEVELOPERS.md)."""

import ast

import pytest

from source_imports import ARROWS, FILES, TREES

BATHS = {"colorimetry", "conditions", "bath"}
# What each may import of what lies beside it; what stands in OPEN is open to all.
OPEN = {"", "errors", "version", "characters"}
MAY = {
    "": {
        "characters": set(),
        "errors": set(),
        "version": set(),
        "sample": set(),
        "colorimetry": set(),
        "conditions": {"colorimetry"},
        "bath": {"colorimetry", "conditions"},
        "photo": {"colorimetry"},
        "match": {"colorimetry"},
        "predict": BATHS,
        "library": BATHS | {"photo"},
        "paper": {"colorimetry", "photo"},
        "desk": BATHS | {"photo", "match", "predict", "library", "paper", "sample"},
        "web": {"desk", "paper"},
        "cli": {"desk", "web"},
    },
    "photo": {
        "file": set(),
        "place": {"file"},
        "sheet": {"file", "place"},
        "correction": {"file", "place"},
        "shot": {"correction"},
        "measure": {"file", "place", "correction", "shot"},
    },
    "predict": {
        "features": set(),
        "regression": {"features"},
        "search": {"features", "regression"},
        "prediction": {"features", "regression"},
        "delivery": {"features", "regression", "search", "prediction"},
        "explain": {"features", "regression", "search", "prediction"},
        "pot_day": {"features", "regression", "search"},
        "shades": {
            "features", "regression", "search", "delivery", "explain", "pot_day", "prediction",
        },
        "model": {"regression", "prediction", "shades"},
    },
    "desk": {
        "text": set(),
        "photo": {"text"},
        "keep": {"text", "photo"},
        "entry": {"text", "photo", "keep"},
        "answer": {"text", "photo", "keep", "entry"},
        "demonstration": {"text", "photo", "keep", "entry", "answer"},
    },
}  # fmt: skip
# The library reads photos as files and needs nothing else of what a photo is.
ONLY = {("library", "photo"): "photo.file"}
OPENS_FILES = {
    "photo.file.read", "photo.file.reference_table", "photo.correction.camera_profile",
}  # fmt: skip


def rooms(name, folder):
    """The room of a module inside a folder, or None for the folder's face and what is outside."""
    inside = name.removeprefix(f"{folder}.") if folder else name
    if name == folder or (folder and inside == name):
        return None
    return inside.split(".")[0]


@pytest.mark.parametrize("folder", MAY, ids=lambda f: f or "swatchbath")
def test_imports_go_down_only(folder):
    may = MAY[folder]
    for name, targets in ARROWS.items():
        here = rooms(name, folder)
        if here is None:
            continue
        assert here in may, f"{name}: {here} is in no layer; add it here and to DEVELOPERS.md"
        for target in targets - OPEN:
            there = rooms(target, folder)
            if there is not None and there != here:
                assert there in may[here], f"{name} imports {target}"
            only = ONLY.get((here, there))
            assert not only or target.startswith(only), f"{name} imports {target}, not {only}"


def test_the_shell_sees_the_desk_and_nothing_behind_it():
    for name, targets in ARROWS.items():
        if name.split(".")[0] in ("cli", "web"):
            behind = {t for t in targets if t.startswith("desk.")}
            assert not behind, f"{name} imports {behind}"


def test_nothing_below_the_shells_prints_and_nothing_below_the_library_opens_files():
    for name, tree in TREES.items():
        layer = name.split(".")[0]
        calls = {
            getattr(n.func, "id", getattr(n.func, "attr", None))
            for n in ast.walk(tree)
            if isinstance(n, ast.Call)
        }
        if layer != "cli":
            assert "print" not in calls, name
        if layer in BATHS | {"photo", "match", "predict"}:
            writes = calls & {"write_text", "write_bytes", "mkdir", "unlink"}
            assert not (writes and name not in OPENS_FILES), f"{name}: {writes}"
            assert "open" not in calls or name.startswith("photo."), name


def test_no_file_grows_past_what_is_read_at_one_sitting():
    for name, path in FILES.items():
        lines = path.read_text(encoding="utf-8").count("\n")
        assert lines <= 350, f"{name} has {lines} lines: which noun is hiding in it?"
