"""What works on this machine, what is missing, and how to get it."""

from __future__ import annotations

import importlib
import platform
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib import metadata
from pathlib import Path
from typing import Any, Literal

from ...errors import SwatchbathError
from ...library import Library, is_library
from ...sample import sample_folder
from ...version import __version__

Level = Literal["works", "missing", "fails"]
# Packages that are needed, by the names they are imported by (pyproject.toml).
NEEDED = {
    "click": "click", "colour-science": "colour", "fpdf2": "fpdf", "jinja2": "jinja2",
    "numpy": "numpy", "pandas": "pandas", "pillow": "PIL", "platformdirs": "platformdirs",
    "python-multipart": "python_multipart", "scikit-learn": "sklearn", "scipy": "scipy",
    "segno": "segno", "starlette": "starlette", "uvicorn": "uvicorn", "zxing-cpp": "zxingcpp",
}  # fmt: skip
# Extras by name: the package imported, and what it is for.
EXTRAS = {
    "heic": ("pillow_heif", "HEIC photos, as some phones write them"),
    "raw": ("rawpy", "camera raw and DNG photos"),
    "tiff16": ("tifffile", "16-bit TIFF photos"),
    "xlsx": ("openpyxl", "spreadsheets in XLSX"),
}
# STRICT tables came with it (SQLite's release notes).
_SQLITE = (3, 37, 0)
# Room for a photo or two, and for a day of them, bytes. Our own choice.
_NO_ROOM, _LITTLE_ROOM = 50_000_000, 1_000_000_000
# Swatch 02c of the drawn sample: its place in a photo, and its colour as the spectrum it was drawn
# from gives it (tests/reference/sample_truth.csv). A grey card leaves it 1.2 off; 3 is our own
# choice, less than reading it without the card would leave.
PHOTO, NAME, TRUTH, WITHIN = "photo_02.jpg", "02c", (57.895, -14.971, 34.885), 3.0


@dataclass(frozen=True)
class Tried:
    """One thing tried: its name, how it stands, a sentence, what to do. essential : whether
    swatchbath cannot do without it."""

    name: str
    level: Level
    sentence: str
    remedy: str = ""
    essential: bool = False


@dataclass(frozen=True)
class SelfTest:
    """All that was tried. folder : of the library asked about; versions : by name."""

    folder: str
    tried: tuple[Tried, ...]
    versions: dict[str, str]

    @property
    def ok(self) -> bool:
        """Whether nothing essential fails."""
        return not any(t.essential and t.level != "works" for t in self.tried)

    def as_dict(self) -> dict[str, Any]:
        """Plain values for JSON."""
        return {
            "ok": self.ok,
            "folder": self.folder,
            "versions": self.versions,
            "tried": [asdict(t) for t in self.tried],
        }


def selftest(folder: str | Path) -> SelfTest:
    """Try what swatchbath needs on this machine, and the library of a folder where there is one.

    Nothing is changed: a library is only read, and one file without a name is written beside it
    and gone again. A whole library's photos are read by `verify`, not here.
    """
    here = Path(folder)
    tried = (
        *_packages(), *_extras(), _sqlite(), _writes(here), _room(here), *_library(here),
        _measures(),
    )  # fmt: skip
    return SelfTest(str(here), tried, _versions())


def _versions() -> dict[str, str]:
    known = {
        "swatchbath": __version__,
        "python": platform.python_version(),
        "system": platform.platform(),
        "sqlite": sqlite3.sqlite_version,
    }
    for name in (*NEEDED, "pillow-heif", "rawpy", "tifffile", "openpyxl"):
        try:
            known[name] = metadata.version(name)
        except metadata.PackageNotFoundError:
            continue
    return known


def _why_not(module: str) -> str | None:
    """Why a package cannot be imported; None where it can."""
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            importlib.import_module(module)
        except ModuleNotFoundError:
            return "it is not installed"
        # A package whose libraries do not fit the system may raise anything.
        except Exception as error:
            return f"it does not load ({type(error).__name__})"
    return None


def _packages() -> Iterator[Tried]:
    broken = {name: why for name, module in NEEDED.items() if (why := _why_not(module))}
    if not broken:
        yield Tried("packages", "works", "All that swatchbath is built on loads.", essential=True)
    for name, why in broken.items():
        yield Tried(
            "packages", "fails", f"{name}, which swatchbath is built on, cannot be used: {why}.",
            f"Install it again: {_pip(name)}", essential=True,
        )  # fmt: skip


def _pip(what: str) -> str:
    return f"{Path(sys.executable).name} -m pip install --upgrade '{what}'"


def _extras() -> Iterator[Tried]:
    for extra, (module, what) in EXTRAS.items():
        why = _why_not(module)
        if why is None:
            yield Tried(extra, "works", f"It can read {what}.")
        else:
            yield Tried(
                extra, "missing", f"It cannot read {what}: the extra {extra} is wanted, and {why}.",
                f"If you have such files: {_pip(f'swatchbath[{extra}]')}",
            )  # fmt: skip
    from PIL import features

    for name in ("avif", "webp"):
        if features.check(name):
            yield Tried(name, "works", f"It can read {name.upper()} photos.")
        else:
            yield Tried(
                name, "missing",
                f"It cannot read {name.upper()} photos: this pillow has no part for it.",
                f"If you have such photos: {_pip('pillow')}",
            )  # fmt: skip


def _sqlite() -> Tried:
    found = sqlite3.sqlite_version
    if sqlite3.sqlite_version_info >= _SQLITE:
        return Tried("sqlite", "works", f"SQLite {found} keeps the library.", essential=True)
    wanted = ".".join(map(str, _SQLITE))
    return Tried(
        "sqlite", "fails", f"SQLite {found} is too old to keep a library; {wanted} is wanted.",
        "Install a newer Python; SQLite comes with it.", essential=True,
    )  # fmt: skip


def _standing(folder: Path) -> Path:
    """The folder, or the nearest above it that is there."""
    there = folder.absolute()
    while not there.is_dir() and there != there.parent:
        there = there.parent
    return there


def _writes(folder: Path) -> Tried:
    there = _standing(folder)
    try:
        with tempfile.TemporaryFile(dir=there) as file:
            file.write(b"swatchbath")
    except OSError as error:
        return Tried(
            "folder", "fails", f"Nothing can be written in {there}: {error.strerror or error}.",
            "Make the folder yours to write in, or name another with --library.", essential=True,
        )  # fmt: skip
    return Tried("folder", "works", f"{there} can be written in.", essential=True)


def _room(folder: Path) -> Tried:
    there = _standing(folder)
    free = shutil.disk_usage(there).free
    told = f"{free / 1e9:.1f} GB are free on the disk of {there}."
    if free >= _LITTLE_ROOM:
        return Tried("disk", "works", told, essential=True)
    remedy = "Make room, or keep the library on another disk."
    if free >= _NO_ROOM:
        return Tried("disk", "missing", f"Only {told}", remedy)
    return Tried("disk", "fails", f"Only {told}", remedy, essential=True)


def _library(folder: Path) -> Iterator[Tried]:
    if not is_library(folder):
        yield Tried(
            "library", "missing", f"There is no library in {folder} yet.",
            "swatchbath demo shows all; the first swatch you record begins one.",
        )  # fmt: skip
        return
    try:
        with Library(folder, read_only=True) as library, library.reading() as db:
            found = [str(row[0]) for row in db.execute("PRAGMA integrity_check(5)")]
            count = len(library)
    except SwatchbathError as error:
        yield Tried("library", "fails", str(error), essential=True)
        return
    if found == ["ok"]:
        yield Tried("library", "works", f"The records of {count} swatches in {folder} are whole; "
                    "swatchbath verify reads every photo too.", essential=True)  # fmt: skip
    else:
        yield Tried(
            "library", "fails", f"The database in {folder} is damaged.",
            "swatchbath verify tells more; restore the last backup into a new folder: swatchbath "
            "restore FILE FOLDER", essential=True,
        )  # fmt: skip


def _measures() -> Tried:
    """A photo of the sample, measured to the colour it was drawn with."""
    from ...colorimetry import delta_e2000
    from ...photo import Card, Region, measure

    try:
        photo = sample_folder() / "photos" / PHOTO
        shot = measure(
            photo,
            card=Card(Region(*_place(photo, "card")), lab=_card()),
            swatches={NAME: Region(*_place(photo, NAME))},
        )
        off = float(delta_e2000(shot[NAME].lab, TRUTH))
    except (SwatchbathError, KeyError, StopIteration) as error:
        return Tried(
            "measuring", "fails", f"A photo that comes with swatchbath cannot be measured: {error}",
            f"Install swatchbath again: {_pip('swatchbath')}", essential=True,
        )  # fmt: skip
    told = f"A photo that comes with swatchbath reads {off:.1f} from its known colour"
    if off <= WITHIN:
        return Tried("measuring", "works", f"{told}, of {WITHIN:g} allowed.", essential=True)
    return Tried(
        "measuring", "fails", f"{told}, and only {WITHIN:g} is allowed: colours read on this "
        "machine are wrong.",
        f"Install swatchbath and what it is built on again: {_pip('swatchbath')}", essential=True,
    )  # fmt: skip


def _place(photo: Path, name: str) -> tuple[float, float, float]:
    from ...library import read_table

    rows = read_table(sample_folder() / "marks.csv").to_dict("records")
    row = next(r for r in rows if r["photo"] == photo.name and r["name"] == name)
    return float(row["x"]), float(row["y"]), float(row["half"])


def _card() -> list[float]:
    from ...library import read_table

    rows = read_table(sample_folder() / "cards.csv").to_dict("records")
    row = next(r for r in rows if r["patch"] == "grey")
    return [float(row[axis]) for axis in "Lab"]
