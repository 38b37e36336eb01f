"""What the invented house dyed and photographed: lots, their parts, and who lies in which photo.

`LOTS` is the truth; `TYPED` says which two cells of baths.csv were typed wrongly.
"""

COLUMNS = (
    "fibre", "fibre_form", "fibre_g", "dyestuff", "dyestuff_form", "dyestuff_lot", "dye_owf",
    "tannin", "tannin_owf", "mordant", "mordant_owf", "assist", "assist_owf", "pH",
    "temperature_C", "minutes", "liquor_ratio", "bath_number", "modifier", "modifier_owf",
    "modifier_pH", "modifier_minutes", "wash_pH", "water", "vessel", "lot", "session",
)  # fmt: skip

# Parts: letter, kind of swatch, after-bath, and what differs from the pot. After-baths are
# written (name, owf, pH, minutes); None is none. Iron at most 4 % on wool and 2 % on silk and
# cotton; lye never on silk, on wool cool, short and to pH 9 (common practice, no source).
PLAIN = None
IRON1, IRON2, IRON3 = ("iron", 1, 5.5, 10), ("iron", 2, 5.5, 10), ("iron", 3, 5.5, 15)
IRON_HALF = ("iron", 0.5, 5.5, 5)
VINEGAR = ("vinegar", None, 4, 15)
LYE9, LYE85 = ("ash lye", None, 9, 5), ("ash lye", None, 8.5, 5)
LYE10 = ("ash lye", None, 10, 10)
SILK = {"fibre": "silk", "mordant_owf": 15}


def _lot(number, session, dyestuff, dyestuff_lot, owf, ph, celsius, parts, **more):
    pot = {
        "lot": f"{number:02d}", "session": session, "dyestuff": dyestuff,
        "dyestuff_lot": dyestuff_lot, "dye_owf": owf, "pH": ph, "temperature_C": celsius,
        "fibre": "wool", "mordant": "alum", "mordant_owf": 12, "minutes": 60, "liquor_ratio": 30,
        "bath_number": 1, "wash_pH": 7, "assist": "none", "tannin": "none", "water": "tap",
        "vessel": "stainless steel", "fibre_form": "untreated", "fibre_g": 10,
        "dyestuff_form": "powder" if dyestuff == "walnut hull" else "dried",
    } | more  # fmt: skip
    return pot, parts


NONE = {"mordant": "none", "mordant_owf": None}
COTTON = {"fibre": "cotton", "tannin": "gallnut", "tannin_owf": 8, "mordant_owf": 15}
D1, D2, D3, D4, D5 = "2026-02-07", "2026-02-14", "2026-02-21", "2026-02-28", "2026-03-07"
D6, D7, D8, D9 = "2026-03-14", "2026-03-21", "2026-03-28", "2026-04-11"
WELD, MADDER, WALNUT = "weld", "madder", "walnut hull"

LOTS = [
    _lot(1, D1, WELD, "W25", 60, 6, 80, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {}), ("c", "yarn", VINEGAR, {})]),
    _lot(2, D1, WELD, "W25", 100, 7, 85, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", LYE9, {}), ("c", "yarn", IRON1, {})]),
    _lot(3, D1, WELD, "W25", 80, 6, 75, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", IRON1, {}), ("c", "cloth", VINEGAR, {})],
        **SILK, fibre_g=6),
    _lot(4, D2, WELD, "W25", 100, 8, 60, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", LYE10, {}), ("c", "cloth", IRON1, {})],
        **COTTON, assist="chalk", assist_owf=5),
    _lot(5, D2, WELD, "W25", 80, 6, 80, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON3, {})], **NONE),
    _lot(6, D2, WELD, "W25", 40, 5, 70, [
        ("a", "yarn", PLAIN, {}), ("b", "cloth", PLAIN, SILK), ("c", "yarn", IRON_HALF, {})]),
    _lot(7, D3, WELD, "W25", 100, 7, 90, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON3, {}), ("c", "yarn", LYE85, {})],
        mordant_owf=6),
    _lot(8, D3, WELD, "W25", 25, 8, 85, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", IRON1, {})]),
    _lot(9, D3, WELD, "W25", 80, 5, 80, [("a", "yarn", PLAIN, {}), ("b", "yarn", IRON1, {})]),
    _lot(10, D2, WELD, "W25", 100, 7, 70, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", IRON2, {})], fibre="cotton", **NONE),
    _lot(11, D4, MADDER, "M24", 50, 6, 60, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {}), ("c", "yarn", LYE9, {})]),
    _lot(12, D4, MADDER, "M24", 100, 7, 65, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON1, {}), ("c", "yarn", VINEGAR, {})],
        assist="chalk", assist_owf=5),
    _lot(13, D4, MADDER, "M24", 60, 6.5, 60, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", IRON1, {}), ("c", "yarn", PLAIN, {})],
        **SILK, fibre_g=6),
    _lot(14, D5, MADDER, "M24", 80, 8, 65, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", LYE10, {}), ("c", "cloth", IRON1, {})],
        **COTTON),
    _lot(15, D5, MADDER, "M24", 50, 4.5, 60, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON1, {}), ("c", "yarn", LYE85, {})]),
    _lot(16, D5, MADDER, "M24", 50, 8, 60, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", VINEGAR, {})]),
    _lot(17, D6, MADDER, "M24", 50, 7, 85, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON1, {})]),
    _lot(18, D6, MADDER, "M25", 100, 6, 80, [
        ("a", "yarn", PLAIN, {}), ("b", "cloth", PLAIN, SILK), ("c", "yarn", IRON2, {})]),
    _lot(19, D6, MADDER, "M25", 80, 6.5, 65, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {})], **NONE),
    _lot(20, D7, MADDER, "M25", 60, 7, 60, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {}), ("c", "cloth", PLAIN, {})]),
    _lot(21, D8, MADDER, "M25", 60, 7, 60, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {}), ("c", "cloth", PLAIN, {})]),
    _lot(22, D7, MADDER, "M25", 20, 7, 55, [
        ("a", "yarn", PLAIN, {}), ("b", "cloth", PLAIN, SILK)]),
    _lot(23, D7, MADDER, "M25", 40, 6.5, 60, [("a", "yarn", PLAIN, {})],
        assist="cream of tartar", assist_owf=5),
    _lot(24, D8, WALNUT, "H25", 100, 6, 85, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", IRON2, {}), ("c", "yarn", LYE85, {})], **NONE),
    _lot(25, D8, WALNUT, "H25", 50, 5, 80, [
        ("a", "yarn", PLAIN, {}), ("b", "cloth", IRON1, {})]),
    _lot(26, D9, WALNUT, "H25", 50, 6, 75, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", IRON1, {}), ("c", "cloth", VINEGAR, {})],
        **(SILK | NONE)),
    _lot(27, D9, WALNUT, "H25", 100, 9, 80, [
        ("a", "cloth", PLAIN, {}), ("b", "cloth", LYE10, {}), ("c", "cloth", IRON2, {})],
        fibre="cotton", **NONE),
    _lot(28, D9, WALNUT, "H25", 25, 7, 70, [
        ("a", "yarn", PLAIN, {}), ("b", "yarn", VINEGAR, {})]),
]  # fmt: skip

# (lot, column): what was typed. What the pot really had is in LOTS.
TYPED = {("09", "pH"): 8, ("23", "minutes"): 6}
# Lot 21 repeats lot 20 and came out different: what that pot did, in the house's own terms.
STRAY = {"21": {"strength": -0.42, "pH": -0.9, "brown": 0.05, "nm": -2.0}}
# Cells never written down.
UNKNOWN = [
    ("05", "wash_pH"), ("08", "liquor_ratio"), ("10", "pH"), ("16", "water"), ("19", "minutes"),
    ("24", "pH"), ("28", "dyestuff_lot"), ("13", "liquor_ratio"), ("26", "vessel"),
]  # fmt: skip


def swatches():
    """Every swatch in order: list of (name, kind, conditions) with the true conditions."""
    out = []
    for pot, parts in LOTS:
        for letter, kind, after, differs in parts:
            row = dict.fromkeys(COLUMNS) | pot | differs
            name, owf, ph, minutes = after or ("none", None, None, None)
            row |= {
                "modifier": name, "modifier_owf": owf, "modifier_pH": ph,
                "modifier_minutes": minutes,
            }  # fmt: skip
            out.append((pot["lot"] + letter, kind, row))
    return out


def as_typed(row):
    """The row as it stands in baths.csv: two slips, and a few cells left empty."""
    typed = dict(row)
    for (lot, column), value in TYPED.items():
        if row["lot"] == lot:
            typed[column] = value
    for lot, column in UNKNOWN:
        if row["lot"] == lot:
            typed[column] = None
    return typed
