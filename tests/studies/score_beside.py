"""Prints how well a shade is read beside one to three swatches on record, on drawn photos.

Each drawn house has 24 swatches on record, on four photos of two sittings by one camera. A further
pot of the house is the target; it is photographed touching three swatches on record that are
within 10 Lab of it, in a light like one of the record's or in another, by the same phone or by one
that took nothing else. The error is that of its difference from the record: the target as read,
less how the record errs at the swatches near it (mean over all within 10 Lab), against its true
colour. Then the same with one of the three pieces faded since, and two copies of one colour far
apart in one frame, more or less evenly lit.

    python tests/studies/score_beside.py [houses]        (about a minute a house; 12 unless given)
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np

import swatchbath as sb
from swatchbath.colorimetry.covariance import give_or_take, region_radius

SAMPLE = Path(__file__).resolve().parents[2] / "sample_swatches"
NEAR, WANTED = 10.0, 3  # Lab; targets a house
FADED = (3.0, 6.0, 10.0)
UNEVEN = (0.0, 0.05, 0.10, 0.20, 0.30)
FAR, FAR_WITHIN = 0.4, 0.08  # of a diagonal


@cache
def drawing() -> Any:
    sys.path.insert(0, str(SAMPLE))
    import draw
    import house_spectra

    return draw, house_spectra


class House:
    """One drawn house: its camera, its record, and lights like the record's or not."""

    def __init__(self, seed: int, folder: Path) -> None:
        draw, spectra = drawing()
        self.rng = np.random.default_rng(np.random.SeedSequence([7308, seed]))
        self.seed, self.file, self.shots = 1000 * (seed + 1), folder / "photo.jpg", 0
        self.camera, self.other = (
            replace(draw.random_camera(self.rng), space="sRGB") for _ in range(2)
        )
        self.kelvin = float(np.exp(self.rng.uniform(np.log(5000), np.log(7000))))
        self.light = draw.random_light(self.rng)  # for its unevenness and its mood
        self.spectra = spectra
        house = draw.House(200_000 + seed)
        pots = draw.fresh_pots(self.rng, house, 24 + 200)
        named = [(f"{i:02d}", *pot[1:]) for i, pot in enumerate(pots)]
        self.record, self.further = named[:24], named[24:]
        self.true = {name: draw.reflectance_to_lab(r) for name, _, _, r in named}
        self.read: dict[str, sb.Measurement] = {}
        for sitting in range(2):
            light = self.lit(self.kelvin * (1 + 0.03 * sitting))
            for photo in range(2):
                lie = self.record[12 * sitting + photo :: 2][:6]
                taken = f"2026:03:{1 + 7 * sitting:02d} 11:0{2 * photo}:00"
                for shot in self.take(lie, light, taken=taken) or []:
                    self.read |= {name: shot[name] for name in shot}

    def lit(self, kelvin: float | str) -> Any:
        """A light of one sitting: daylight of so many kelvin, or a named lamp."""
        draw, spectra = drawing()
        lamp = isinstance(kelvin, str)
        spectrum = spectra.light_spectrum(kelvin) if lamp else spectra.daylight(kelvin)
        return replace(draw.random_light(self.rng), spectrum=spectrum)

    def targets(self) -> list[tuple[Any, list[str]]]:
        """Further pots with three swatches on record within 10 Lab, and the names of these."""
        found = []
        for pot in self.further:
            apart = {n: np.linalg.norm(self.true[n] - self.true[pot[0]]) for n in self.read}
            near = [n for n, far in apart.items() if far < NEAR]
            if len(near) >= 3:
                found.append((pot, [str(n) for n in self.rng.permutation(near)]))
        return found[:: max(len(found) // WANTED, 1)][:WANTED]

    def pot_of(self, name: str) -> Any:
        """A swatch on record, as `fresh_photo` takes it."""
        return self.record[int(name)]

    def take(
        self, lie: list[Any], light: Any, *, own: Any = ((),), taken: str, named: str = "hers",
        **how: Any,
    ) -> list[sb.Shot] | None:  # fmt: skip
        """Photograph, and measure once for each set of names on record to go by (the first of what
        lies there is the target); None where the photo is refused."""
        draw, _ = drawing()
        self.shots += 1
        camera = self.camera if named == "hers" else self.other
        array, marks, _ = draw.fresh_photo(
            self.seed + self.shots, camera=camera, light=light, pots=lie, ground="paper", **how
        )
        draw.save_jpeg(self.file, array, taken=taken, make="drawn", model=named)
        places = {m["name"]: sb.Region(m["x"], m["y"], m["half"]) for m in marks}
        swatches = {pot[0]: places[pot[0]] for pot in lie}
        paper = [places[m["name"]] for m in marks if m["kind"] == "paper"]
        try:
            return [
                sb.measure(
                    self.file, card=places["card"], swatches=swatches, paper=paper,
                    beside={n: self.read[n] for n in names},
                )
                for names in own
            ]  # fmt: skip
        except sb.PhotoRefused:
            return None


def from_record(
    target: sb.Measurement, true: np.ndarray, house: House, near: list[str]
) -> tuple[float, float, bool]:
    """Error of the target's difference from the record, its give or take, whether 90 % hold it."""
    read = [house.read[n] for n in near]
    bias = np.mean([m.lab - house.true[n] for n, m in zip(near, read, strict=True)], axis=0)
    lab = target.lab - bias
    own, of_record = target.covariance, np.zeros((3, 3))
    for a in read:
        shared = sb.cross_covariance(target, a) / len(read)
        own = own - shared - shared.T
        for b in read:
            of_record += (a.covariance if a is b else sb.cross_covariance(a, b)) / len(read) ** 2
    covariance = (own + of_record + own.T + of_record.T) / 2
    values, vectors = np.linalg.eigh(covariance)
    covariance = vectors * np.maximum(values, 0.04) @ vectors.T
    off = true - lab
    held = off @ np.linalg.solve(covariance, off) < region_radius(0.9, target.degrees)
    error = float(sb.delta_e2000(lab, true))
    return error, give_or_take(lab, covariance, target.degrees), bool(held)


CASES = (
    ("her phone, like light", "hers", "like"),
    ("her phone, other light", "hers", "other"),
    ("another phone, like light", "theirs", "like"),
    ("another phone, other light", "theirs", "other"),
)


def other_light(house: House) -> float | str:
    """Daylight a quarter warmer or cooler, or a white lamp."""
    return [house.kelvin * 1.28, house.kelvin / 1.22, "LED-B3"][int(house.rng.integers(3))]


def beside(houses: list[House]) -> None:
    """The target with the card alone and beside one to three, in each case."""
    rows: dict[tuple[str, int], list[tuple[float, float, bool]]] = {}
    refused, unnamed, whole = 0, 0, 0
    for house in houses:
        for pot, near in house.targets():
            three = [house.pot_of(n) for n in near[:3]]
            for words, named, kind in CASES:
                light = house.lit(house.kelvin if kind == "like" else other_light(house))
                sets = [near[:k] for k in range(4)]
                shots = house.take(
                    [pot, *three], light, own=sets, taken="2026:04:20 12:00:00", named=named,
                    layout="touching",
                )  # fmt: skip
                if shots is None:
                    refused += 1
                    continue
                whole += 1
                unnamed += bool(shots[3].changed)
                for k, shot in enumerate(shots):
                    if pot[0] in shot:
                        got = from_record(shot[pot[0]], house.true[pot[0]], house, near)
                        rows.setdefault((words, k), []).append(got)
    print(f"== beside: {len(houses)} houses, {whole} photos, {refused} refused; of three sound")
    print(f"   pieces one was left out in {unnamed / max(whole, 1):.0%}")
    for (words, k), got in rows.items():
        error, doubt, held = np.array(got, float).T
        print(
            f"   {words}, {k} own: error 50 / 68 / 95 % "
            f"{' / '.join(f'{v:.1f}' for v in np.percentile(error, [50, 68, 95]))}, "
            f"stated {np.median(doubt):.1f}, give or take holds {np.mean(error <= doubt):.2f}, "
            f"90 % hold {held.mean():.2f}, {len(error)} targets"
        )


def fading(houses: list[House]) -> None:
    """One of three pieces faded since it was recorded: how often it, and it alone, is named."""
    draw, _ = drawing()
    for by in FADED:
        named, wrong, off = [], [], []
        for house in houses:
            for pot, near in house.targets():
                pieces = [house.pot_of(n) for n in near[:3]]
                which = int(house.rng.integers(3))
                try:
                    pieces[which] = (*pieces[which][:3], draw.faded(pieces[which][3], by))
                except ValueError:
                    continue  # too pale to fade so far
                shots = house.take(
                    [pot, *pieces], house.lit(house.kelvin), own=[near[:3]],
                    taken="2026:04:20 12:00:00", layout="touching",
                )  # fmt: skip
                if shots is None or pot[0] not in shots[0]:
                    continue
                changed = set(shots[0].changed)
                named.append(near[which] in changed)
                wrong.append(bool(changed - {near[which]}))
                got = from_record(shots[0][pot[0]], house.true[pot[0]], house, near)
                off.append(got[0])
        print(
            f"   faded by {by:g}: left out and named {np.mean(named):.2f}, another left out "
            f"{np.mean(wrong):.2f}, error 50 / 95 % "
            f"{np.median(off):.1f} / {np.percentile(off, 95):.1f}, {len(named)} photos"
        )


def far_apart(houses: list[House], paper: bool) -> None:
    """Two copies of a colour 0.4 of a diagonal apart, in frames more or less evenly lit."""
    draw, _ = drawing()
    for share in UNEVEN:
        rows = []
        for house in houses:
            pot = house.record[int(house.rng.integers(24))]
            copies = [(f"{pot[0]} {i}", *pot[1:]) for i in range(5)]
            house.shots += 1
            array, marks, _ = draw.fresh_photo(
                house.seed + house.shots, camera=replace(house.camera, vignette=0.0),
                light=house.light, pots=copies, uneven_by=share, ground="paper",
            )  # fmt: skip
            draw.save_jpeg(house.file, array, make="drawn", model="hers")
            at = {m["name"]: sb.Region(m["x"], m["y"], m["half"]) for m in marks}
            sheet = [at[m["name"]] for m in marks if m["kind"] == "paper"] if paper else []
            try:
                shot = sb.measure(
                    house.file, card=at["card"], swatches={c[0]: at[c[0]] for c in copies},
                    paper=sheet,
                )  # fmt: skip
            except sb.PhotoRefused:
                continue
            for one, two in combinations(shot, 2):
                far = np.hypot(at[one].x - at[two].x, at[one].y - at[two].y)
                if abs(far / np.hypot(800, 600) - FAR) < FAR_WITHIN:
                    found = sb.compare(shot[one], shot[two])
                    low, _ = found.interval
                    rows.append((found.delta_e2000, low <= 0, found.smallest_tolerance))
        apart, same, least = np.array(rows, float).T
        print(
            f"   {share:.0%} a diagonal{', paper' if paper else ''}: read apart 50 / 95 % "
            f"{np.median(apart):.2f} / {np.percentile(apart, 95):.2f}, interval holds 0 in "
            f"{same.mean():.2f}, least tolerance that can match {np.median(least):.2f}, "
            f"{len(rows)} pairs"
        )


def main() -> None:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    with tempfile.TemporaryDirectory() as folder:
        houses = [House(seed, Path(folder)) for seed in range(number)]
        beside(houses)
        print("== one of three pieces faded since, her phone, like light")
        fading(houses)
        print("== two copies of a colour, 0.4 of a diagonal apart")
        for paper in (False, True):
            far_apart(houses, paper)


if __name__ == "__main__":
    main()
