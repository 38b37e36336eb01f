"""Small wrong changes, made on purpose, one at a time: which of them does the suite not notice?

    python tests/studies/mutations.py [--only TEXT] [--tests FOLDER] [--seconds 240] [--workers 1]

Copies the checkout, makes one change in the copy, runs the tests named beside it until the first
that fails, and puts the file back. Prints each change as caught, survived or timed out (which
counts as caught: a hang is noticed), and the survivors at the end; the exit code is 0 where at
most one in fifteen survived. Refuses to begin where an old text no longer stands exactly once in
its file. --only : changes whose file or text holds this. --all : the whole suite for each, in
place of the tests named, so that a survivor is one of all. Last figures: FIGURES.md.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("src", "tests", "sample_swatches", "notebooks", "pyproject.toml", "README.md",
          "DEVELOPERS.md", "LICENSE")  # fmt: skip
# Of so many changes made one may survive: 56 of 60 are to be caught.
ONE_IN = 15


class Change(NamedTuple):
    """In a file under src/swatchbath the text `old`, which stands there once, becomes `new`; tests,
    under tests/, are those that should notice. why : what a dyer would be told wrongly."""

    file: str
    old: str
    new: str
    tests: str
    why: str


COLOUR, MATCH, BATH = "colorimetry", "match", "bath predict/search/test_candidates.py"
FIT, SEARCH = "predict/regression predict/test_model.py predict/test_estimator.py", "predict/search"
DELIVERY, EXPLAIN, DAY = "predict/delivery", "predict/explain", "predict/pot_day"
PLACE, CORRECTION = "photo/place photo/test_measure.py", "photo/correction"
CHANGES = tuple(Change(*c) for c in (
    # Doubt as numbers.
    ("colorimetry/covariance.py", "_GIVE_OR_TAKE = 0.68", "_GIVE_OR_TAKE = 0.5", COLOUR,
     "give or take holds half, not two in three"),
    ("colorimetry/covariance.py", "values.min() < -1e-6 * scale", "values.min() < -1e6 * scale",
     COLOUR, "a covariance that is none is taken"),
    ("colorimetry/covariance.py", "np.abs(c - c.T).max() > 1e-6 * scale",
     "np.abs(c - c.T).max() > 1e6 * scale", COLOUR, "a covariance that is not symmetric is taken"),
    ("colorimetry/covariance.py", "return (degrees - 2) / degrees if", "return 1.0 if", COLOUR,
     "a Student's t is drawn too wide"),
    ("colorimetry/covariance.py", "spread = a * a / one + b * b / two",
     "spread = a * a / two + b * b / one", COLOUR, "degrees go with the wrong reading"),
    ("colorimetry/interval.py", "_LEAST = 1.0", "_LEAST = 0.0", COLOUR,
     "readings equal by chance seem surer than they are"),
    ("colorimetry/interval.py", "_ALIKE = 12.0", "_ALIKE = 40.0", COLOUR,
     "errors of a camera are taken to cancel between unlike colours"),
    ("colorimetry/interval.py", "return np.asarray(np.where(times > 1, times, np.sqrt(times)))",
     "return np.asarray(times)", COLOUR, "small differences of one camera are surer than they are"),
    ("colorimetry/interval.py", "return min(low, upper), upper", "return min(high, observed), upper",
     COLOUR, "the lower end is rounded up"),
    ("colorimetry/difference.py", "_OPPOSITE_SLACK = 1e-9", "_OPPOSITE_SLACK = 0.0", COLOUR,
     "opposite hues are at the mercy of rounding"),
    ("colorimetry/difference.py", "np.where(L < 16,", "np.where(L < 20,", COLOUR,
     "CMC's border of dark colours"),
    ("colorimetry/difference.py", "(h >= 164) & (h <= 345)", "(h >= 164) & (h <= 355)", COLOUR,
     "CMC's border of hues"),
    ("colorimetry/words.py", "_GREY_CHROMA = 4.0", "_GREY_CHROMA = 8.0", COLOUR,
     "what has a hue is called grey"),
    ("colorimetry/measurement.py", "_TYPED_TRUENESS_SD = 0.5", "_TYPED_TRUENESS_SD = 0.1", COLOUR,
     "an instrument is trusted too far"),
    # Do they match?
    ("match/compare.py", "if interval[0] > tolerance", "if difference > tolerance", MATCH,
     "no match without evidence"),
    ("match/compare.py", "if interval[1] <= tolerance", "if difference <= tolerance", MATCH,
     "a match without evidence"),
    ("match/compare.py", 'else "match" if chance >= 0.5 else "apart"',
     'else "match" if chance >= 0.9 else "apart"', MATCH, "which way it leans"),
    ("match/compare.py", "return min(one.degrees, two.degrees)",
     "return max(one.degrees, two.degrees)", MATCH, "the surer reading of a photo speaks for both"),
    ("match/compare.py", "if smallest <= tolerance:", "if smallest <= 2 * tolerance:", MATCH,
     "better readings are asked for where these do, or not where they do not"),
    ("match/drift.py", "WEIGHT, LIMIT = 0.25, 14.2", "WEIGHT, LIMIT = 0.25, 40.0", MATCH,
     "a drift is told too late"),
    ("match/spread.py", "drop = float(chdtri(1, 1 - level)) / 2",
     "drop = float(chdtri(1, 1 - level)) / 8", MATCH, "spreads are told too surely"),
    ("match/spread.py", "_BLIND = 1e-3", "_BLIND = 1e-9", MATCH,
     "spreads are told apart that the record cannot tell apart"),
    ("match/mean.py", "repeat = sum((r.repeatability for r in readings), np.zeros((3, 3))) / n**2",
     "repeat = sum((r.repeatability for r in readings), np.zeros((3, 3))) / n", MATCH,
     "a mean of readings is no surer than one"),
    ("match/mean.py", "np.zeros_like(loading)) + loading / n",
     "np.zeros_like(loading)) + loading / n**2", MATCH, "what readings share shrinks in the mean"),
    # What may be suggested.
    ("bath/caps.py", "hot = math.isnan(heat) or heat > cap", "hot = heat > cap", BATH,
     "a bath of unknown heat passes as cool"),
    ("bath/caps.py", "    if eats or alkaline:", "    if eats:", BATH,
     "an alkaline bath in an aluminium pot"),
    ("bath/caps.py", "banned -= set(_COMMON)", "banned -= set(words_of()['poisons'])", BATH,
     "chrome as the name of a delivery"),
    ("bath/caps.py", "wool = family(fibre) == \"protein\" and not is_silk(fibre)",
     "wool = family(fibre) == \"protein\"", BATH, "as much iron on silk as on wool"),
    ("bath/caps.py", "left = max(0.0, most - rest)", "left = most", BATH,
     "iron of several baths is not added up"),
    ("bath/caps.py", "if protein and alkali:", "if alkali and not protein:", BATH,
     "wool lies in lye as long as in vinegar"),
    ("bath/cautions.py", "or any(p > 8 for p in pHs)\n        or has(\"acid\")",
     "or any(p > 12 for p in pHs)\n        or has(\"acid\")", BATH,
     "no caution about an alkaline bath"),
    ("bath/cautions.py", "return any(math.isnan(h) or h > cap(\"hot\") for h in heats)",
     "return any(h > cap(\"hot\") for h in heats)", BATH, "no caution where heat is unknown"),
    ("bath/lasting.py", "_LASTS_FROM = 4.0", "_LASTS_FROM = 2.0", BATH, "fading dyes called lasting"),
    ("bath/enough.py", '("mordant_owf", "alum"): 20.0', '("mordant_owf", "alum"): 50.0', BATH,
     "more alum than does anything"),
    ("bath/measuring.py", "OFF = 0.1", "OFF = 0.4", "bath predict/pot_day desk/answer/test_recipe.py",
     "spoons that are far off what is asked for"),
    # What is learnt, and how it is checked.
    ("predict/regression/cross_validation.py", "for ids in (groups.session, *groups.photo):",
     "for ids in (groups.session,):", FIT, "photos leak across a split"),
    ("predict/regression/cross_validation.py", "for ids in (groups.session, *groups.photo):",
     "for ids in groups.photo:", FIT, "dye days leak across a split"),
    ("predict/regression/cross_validation.py", "weight = np.array([1 / np.sum(lots == lot)",
     "weight = np.array([1.0 + 0 * np.sum(lots == lot)", FIT, "a large lot counts more than others"),
    ("predict/regression/cross_validation.py", "FEW_BLOCKS = 9", "FEW_BLOCKS = 4", FIT,
     "doubt called checked on a few lots"),
    ("predict/regression/cross_validation.py", "_QUANTILE, _CHI2_85, _CHI2_90 = 0.85, 5.317, 6.251",
     "_QUANTILE, _CHI2_85, _CHI2_90 = 0.85, 7.815, 6.251", FIT, "the doubt is widened too little"),
    ("predict/regression/cross_validation.py", "distance[done] <= _CHI2_90",
     "distance[done] <= 2 * _CHI2_90", FIT, "the share held is told too high"),
    ("predict/regression/cross_validation.py", "judged = done & ~outside", "judged = done.copy()",
     FIT, "what lies outside widens all"),
    ("predict/regression/cross_validation.py", "_LEAST_UNCHECKED = 1.5", "_LEAST_UNCHECKED = 1.0",
     FIT, "doubt that could not be checked is not widened"),
    ("predict/regression/groups.py", "_LOT_SHARE = 0.5", "_LOT_SHARE = 0.0", FIT,
     "parts of one pot taken for pots of their own"),
    ("predict/regression/rows.py", "FEWEST = 12", "FEWEST = 6", FIT, "learnt from next to nothing"),
    ("predict/regression/rows.py", "_LEAST_SPREAD = 1.0", "_LEAST_SPREAD = 0.0", FIT,
     "learnt from swatches of one colour"),
    ("predict/regression/fit.py", "UNSURE = 0.5", "UNSURE = 0.95", "predict desk/answer",
     "unsure is not said"),
    ("predict/regression/fit.py", "STANDS_BACK = 4.0", "STANDS_BACK = 40.0", "predict desk/answer",
     "a fit that misses its own swatches goes first"),
    ("predict/regression/stored_fit.py", "_MOST_GROWN = 1.2", "_MOST_GROWN = 12.0",
     "predict/regression cli/test_explain.py", "an old fit kept for a record ten times as large"),
    ("predict/features/novelty.py", "BEYOND = 0.1", "BEYOND = 1.0", "predict",
     "outside is not said"),
    ("predict/features/imputation.py", "_OF_WIDER = 4.0", "_OF_WIDER = 400.0", "predict/features",
     "blanks are filled from the whole record"),
    # What is suggested and promised.
    ("predict/search/suggestion.py", "_MAX_STATED_PROBABILITY = 0.9", "_MAX_STATED_PROBABILITY = 1.0",
     SEARCH, "more is promised than was earned"),
    ("predict/search/suggestion.py", "_EARNS_AFTER = 20", "_EARNS_AFTER = 2", SEARCH,
     "a promise earned by two"),
    ("predict/search/suggestion.py", "betaincinv(hits, sure.sum() - hits + 1, 0.05)",
     "betaincinv(hits, sure.sum() - hits + 1, 0.95)", SEARCH, "the upper limit is promised"),
    ("predict/search/suggestion.py", "_READING_VARIANCE = 6.0", "_READING_VARIANCE = 0.5", SEARCH,
     "a shade speaks for the bath too much"),
    ("predict/search/suggestion.py", "gaps, min(below + 0.9, 1.0)", "gaps, min(below + 0.6, 1.0)",
     SEARCH, "an interval that holds 60 % is called 90"),
    ("predict/search/suggestion.py", "min(s.interval[0] for s in self) > self[0].tolerance",
     "min(s.delta_e2000 for s in self) > self[0].tolerance", SEARCH,
     "out of reach said without evidence"),
    ("predict/search/reach.py", "_HARDLY, _HARDLY_READ = 0.05, 0.25",
     "_HARDLY, _HARDLY_READ = 0.5, 0.75", SEARCH, "out of reach said of what can be had"),
    ("predict/search/ranking.py", "_APART = 0.35", "_APART = 0.0", SEARCH,
     "baths that are nearly one"),
    ("predict/search/own_baths.py", "level=0.8)[0] > tolerance", "level=0.8)[1] > tolerance", SEARCH,
     "a swatch that may have hit is called a miss"),
    ("predict/search/experiment.py", "_ALIKE, _SAME_COLOUR = 0.9, 2.0",
     "_ALIKE, _SAME_COLOUR = 2.0, 2.0", SEARCH, "two samples that test one thing"),
    ("predict/delivery/correction.py", "_STRANGE = 0.001", "_STRANGE = 0.0",
     DELIVERY + " desk/answer/test_delivery.py", "a strange delivery is not asked about"),
    ("predict/delivery/correction.py", "_LEAST_TOLD = 0.05", "_LEAST_TOLD = 5.0",
     DELIVERY + " desk/answer/test_delivery.py", "checks that tell something are called useless"),
    ("predict/explain/reasons.py", "if abs(value - np.median(known)) > max(0.5, 4 * spread):",
     "if abs(value - np.median(known)) > max(0.5, 40 * spread):", EXPLAIN,
     "a number far from all is not asked about"),
    ("predict/explain/residuals.py", "within = float(scored.distance[row]) <= _FAR",
     "within = float(scored.distance[row]) <= 9 * _FAR", EXPLAIN, "odd rows are called ordinary"),
    ("predict/explain/effects.py", "_SEEN = 2.0", "_SEEN = 0.0", EXPLAIN,
     "chance is called an effect"),
    ("predict/explain/confounding.py", "if abs(along) < _ALONG:", "if abs(along) < 0.99999:", EXPLAIN,
     "what always changed together is not told"),
    ("predict/pot_day/weighing.py", "_HEAVIER = 3.0", "_HEAVIER = 300.0", DAY,
     "samples of a kilo for a coarse scale"),
    ("predict/pot_day/schedule.py", "_DRY_HOURS = 24.0", "_DRY_HOURS = 1.0", DAY,
     "dry in an hour"),
    # What a photo can know.
    ("photo/place/checks.py", "_CLIPPED = (0.02, 0.10)", "_CLIPPED = (0.2, 0.9)", PLACE,
     "clipped places are read"),
    ("photo/place/checks.py", "_UNEVEN = 5.0", "_UNEVEN = 50.0", PLACE,
     "uneven dyeing is not told"),
    ("photo/place/checks.py", "_SPECKS = (0.15, 0.40)", "_SPECKS = (0.5, 0.9)", PLACE,
     "half of the place may be something else"),
    ("photo/place/checks.py", "_CARD_CAST = (0.30,", "_CARD_CAST = (0.90,", PLACE,
     "strong casts pass for daylight"),
    ("photo/place/checks.py", "_CARD_TOO_DARK = (0.08, 0.02)", "_CARD_TOO_DARK = (0.02, 0.001)",
     PLACE, "dark photos pass"),
    ("photo/place/checks.py", "_UNLIKE = (14.0, 22.0)", "_UNLIKE = (60.0, 90.0)",
     PLACE + " " + CORRECTION, "a chart marked upside down is believed"),
    ("photo/place/region.py", "FEWEST_PIXELS = 144", "FEWEST_PIXELS = 4", PLACE,
     "a colour read from four pixels"),
    ("photo/place/region.py", "_CLIPPED_CODE = 254", "_CLIPPED_CODE = 256", PLACE,
     "no pixel is ever clipped"),
    ("photo/file/formats.py", "MOST_PIXELS = 100_000_000", "MOST_PIXELS = 100_000_000_000",
     "photo/file", "a picture that fills the memory is opened"),
    ("photo/measure.py", "_CLIPPED_SD = 0.5", "_CLIPPED_SD = 0.0", PLACE,
     "clipped fibre is as sure as other"),
    ("photo/correction/trust.py", "0.30, (0.08, 0.40), 1.8", "0.30, (0.08, 0.40), 1.0", CORRECTION,
     "an odd card is trusted as another"),
    ("photo/correction/trust.py", "_SMALL_PIXELS, _SMALL_PICTURE = 500_000, 2.9",
     "_SMALL_PIXELS, _SMALL_PICTURE = 500, 2.9", CORRECTION, "a webcam is trusted as a camera"),
    ("photo/correction/illumination.py", "_UNEVEN = (0.05, 0.4)", "_UNEVEN = (0.5, 0.9)",
     CORRECTION, "an unevenly lit card passes"),
    ("photo/correction/neutral_curve.py", "_GREY_CHROMA = 5.0", "_GREY_CHROMA = 50.0", CORRECTION,
     "colours are taken for greys"),
    ("photo/correction/neutral_curve.py", "_END_SLOPES = (0.4, 1.6)", "_END_SLOPES = (-4.0, 16.0)",
     CORRECTION, "tones beyond the greys turn over"),
    ("photo/correction/corrections.py", "OWN_SD = 0.15", "OWN_SD = 0.0", CORRECTION,
     "a swatch has no doubt of its own"),
    ("photo/correction/corrections.py", "_LEAST_SIZE = 0.85", "_LEAST_SIZE = 0.1", CORRECTION,
     "a chart that fits by luck makes doubt vanish"),
    ("photo/correction/camera_profile.py", "_SAME_LIGHT = 0.12", "_SAME_LIGHT = 1.2", CORRECTION,
     "a profile is used in another light"),
    ("photo/correction/origin.py", "SITTING_SHARE = 0.8", "SITTING_SHARE = 0.0",
     CORRECTION + " match desk/photo", "photos of one sitting share nothing"),
    ("photo/correction/own_frame.py", "_SCATTER_SD = 1.1", "_SCATTER_SD = 0.1", CORRECTION,
     "own swatches beside are trusted too far"),
    ("photo/correction/own_frame.py", "_UNLIKE = 22.0", "_UNLIKE = 220.0", CORRECTION,
     "another piece is taken for her own"),
    ("photo/correction/anchors.py", "FEWEST_KNOWN = 6", "FEWEST_KNOWN = 2", CORRECTION + " photo/test_measure.py",
     "two known swatches pass for a chart"),
    ("photo/sheet/detect.py", "_NOT_FLAT = 0.10", "_NOT_FLAT = 10.0", "photo/sheet",
     "a bent sheet is read as flat"),
))  # fmt: skip


def stands_once(root: Path) -> list[str]:
    """What keeps the changes from being made: one sentence for each."""
    out = []
    for change in CHANGES:
        path = root / "src/swatchbath" / change.file
        count = path.read_text("utf-8").count(change.old) if path.is_file() else 0
        if count != 1:
            out.append(f"{change.file}: '{change.old}' stands there {count} times, not once.")
        elif change.old == change.new:
            out.append(f"{change.file}: '{change.old}' is not changed.")
        for name in change.tests.split():
            if not (root / "tests" / name).exists():
                out.append(f"tests/{name}, named for {change.file}, is not there.")
    return out


def try_one(copy: Path, change: Change, seconds: float, whole: bool) -> tuple[str, str]:
    """("caught" | "survived" | "timed out", the test that noticed)."""
    path = copy / "src/swatchbath" / change.file
    text = path.read_text("utf-8")
    named = [] if whole else [f"tests/{name}" for name in change.tests.split()]
    words = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "--no-header", "-p",
             "no:cacheprovider", *named]  # fmt: skip
    path.write_text(text.replace(change.old, change.new), "utf-8")
    try:
        done = subprocess.run(
            words,
            cwd=copy,
            env=os.environ | {"PYTHONPATH": str(copy / "src")},
            capture_output=True,
            text=True,
            timeout=seconds,
        )
    except subprocess.TimeoutExpired:
        return "timed out", ""
    finally:
        path.write_text(text, "utf-8")
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode not in (0, 1):  # pytest: 0 all passed, 1 some failed
        return ("caught", failed[0]) if failed else ("broken", done.stdout[-400:])
    return ("caught", failed[0] if failed else "") if done.returncode else ("survived", "")


def main() -> int:
    about = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    about.add_argument("--only", default="", help="changes whose file, text or reason holds this")
    about.add_argument("--all", action="store_true", help="the whole suite for each")
    about.add_argument("--seconds", type=float, default=400, help="the longest one may take")
    about.add_argument("--workers", type=int, default=1, help="copies tried at once")
    asked = about.parse_args()
    if wrong := stands_once(ROOT):
        print("\n".join(wrong))
        return 2
    chosen = [c for c in CHANGES if asked.only in f"{c.file} {c.old} {c.why}"]
    found: dict[Change, str] = {}
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for i in range(asked.workers):
            copy = Path(folder) / str(i)
            copy.mkdir()
            for name in COPIED:
                if (ROOT / name).is_dir():
                    shutil.copytree(ROOT / name, copy / name)
                else:
                    shutil.copy(ROOT / name, copy / name)
            copies.put(copy)

        def work(change: Change) -> None:
            copy, began = copies.get(), time.monotonic()
            try:
                found[change], by = try_one(copy, change, asked.seconds, asked.all)
            finally:
                copies.put(copy)
            took = time.monotonic() - began
            print(f"{found[change]:9} {took:4.0f} s  {change.file}: {change.why}  {by}", flush=True)

        with ThreadPoolExecutor(asked.workers) as pool:
            list(pool.map(work, chosen))
    left = [c for c in chosen if found[c] in ("survived", "broken")]
    print(f"\n{len(chosen) - len(left)} of {len(chosen)} noticed. Not noticed:")
    for change in left:
        print(f"  {change.file}: {change.old!r} -> {change.new!r} ({change.why})")
    return 0 if len(left) * ONE_IN <= len(chosen) else 1


if __name__ == "__main__":
    sys.exit(main())
