"""Every verb asked of the sample library, once or more: for tests of all that is answered."""

from collections.abc import Callable
from pathlib import Path

from folders import SAMPLE
from library_made import a_photo

PHOTO = SAMPLE / "photos" / "photo_01.jpg"
PLACES = ("--card", "798,900,97", "--swatch", "01a=261,250,49")
_VAT = ("--step", "vat: indigo, fructose, lime, 3 dips of 10 min, 30 C")
# `camera` needs photos of a chart, `demo` half a minute: its parts are asked for by themselves.
# `page` answers in a browser until it is stopped.
LEFT_OUT = ("camera", "demo", "page")


def ask_everything(there: Path, house: Path, asked: Callable[..., None]) -> None:
    """Call `asked(verb, *words, ok=exit code, library=folder or None)` for every verb, in a
    folder of its own. house : the sample's library, which is written to."""
    other = there / "other"
    table = there / "book.csv"
    table.write_text("Name,Fibre,Dye,Dye % WOF,Shelf\nx1,wool,weld,60,3\n", encoding="utf-8")
    (there / "backups").mkdir()

    def of_house(verb, *words, ok=0):
        asked(verb, *words, ok=ok, library=house)

    def of_other(verb, *words, ok=0):
        asked(verb, *words, ok=ok, library=other)

    of_house("find", "weld iron", "-k", 3)
    of_house("find", "--colour", "62,12,48", "-k", 3)
    of_house("suggest", "62,12,48", "--limit", "fibre=wool", "--grams", "1.2 kg", "-k", 2)
    of_house("suggest", "22a", "--limit", "fibre=silk", "-k", 1, "--step", "temperature_C=10")
    of_house("plan", "62,12,48", "--limit", "fibre=wool", "-k", 2)
    of_house("plan", "-k", 3, "--sample", "5 g", "--scale", "0.1 g")
    of_house("predict", "fibre=wool", "mordant=alum", "dyestuff=weld", "pH=7")
    of_house("predict", "fibre=silk", "dyestuff=madder", "dyestuff_2=indigo", "modifier=iron")
    of_house("explain")
    of_house("explain", "23a")
    of_house("compare", "20a", "21a", ok=1)
    of_house("compare", "20a", "#c8a050", ok=1)
    of_house("spread")
    of_house("pile", "20a", "21a", "12a", "--row", "--best", 2, "--page", there / "pile.html")
    of_house("pile", "--where", "dyestuff=weld", "--where", "fibre=silk", "--for", "family")
    asked("pile", "--photo", PHOTO, "--card", "798,900,97", "--at", "261,250,49", "--at",
          "b=798,250,49", ok=0, library=None)  # fmt: skip
    of_house("piece")
    of_house("piece", "20a", "--as", "autumn gold", "--within", 2, "--lies", "tin 3")
    of_house("piece", "62,12,48", "--as", "brown", "--for", "garment")
    of_house("judge", "autumn gold", "21a", "--page", there / "gold.html", ok=1)
    of_house("judge", "brown", "12a", ok=1)
    of_house("piece")
    of_house("piece", "--as", "brown", "--let-go")
    of_house("compare", "--photo", PHOTO, "--at", "261,250,49", "--at", "805,245,48", ok=1)
    of_house("delivery", "weld", "W99", "--grams", "20 g")
    of_house("measure", PHOTO, *PLACES)
    asked("check", PHOTO, ok=0, library=None)
    of_house("waiting")
    of_house("show", "07a")
    of_house("show", "08b", "--grams", "1.2 kg", "--left", "weld 300 g")
    of_house(
        "edit", "07a", "--set", "pH=6", "--set", "temperature_C=70", "--set", "modifier_2=iron"
    )
    of_house("show", "07a")
    of_house("edit", "--where", "dyestuff=madder", "--set", "dyestuff_lot=M27")
    of_house("edit", "--lot", "12", "--set", "note=rain")
    of_house("undo")
    of_house("undo")
    of_house("bin", "22a", "--why", "felted")
    of_house("bin", "22a", "--take-out")
    of_house("verify")
    of_house("selftest")
    of_house("backup", there / "backups")
    (backup,) = (there / "backups").iterdir()
    asked("restore", backup, there / "again", ok=0, library=None)
    of_house("export", there / "out")
    of_other("waiting")
    of_other("take", table, "--dry-run")
    of_other("take", table)
    of_other("show", "x1")
    asked("take", there / "out", ok=0, library=there / "third")
    of_other("codes", 1)
    of_other("codes", 2, "--knots", "--out", there / "tags.pdf")
    of_other("waiting")
    of_other("record", "--set", "fibre=wool", "--set", "dyestuff=weld", "--set", "minutes=1 h")
    of_other("record", "--like", "last", "--set", "dye_owf=150")
    of_other("pot", "--fibre", "wool", *_VAT, "--after", "none", "--after", "vinegar to pH 4")
    of_other("photos", a_photo(there / "a.png"))
    of_other("photos", "--reread")
    of_other("undo")
    of_house("edit", "--unnamed", "--camera-name", "my phone")
    of_other("sheet", "--out", there / "sheet.pdf")
    of_house("sheet", "--own", "--out", there / "own.pdf")
    of_other("verify")
    of_other("bin", "--empty", "--for-good")
    of_house("show", "nobody", ok=2)
