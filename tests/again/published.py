"""Printed values that the recomputation uses, each with the source the book names; nothing is read from the program.

How well each is known (read, second-hand, from memory, practice) is said on the pages of the checks.
"""

from __future__ import annotations

from tests.again.common_rules import Limit

# Customary limits and limits of methods, by check and quantity.
LAMINATE = {
    ("LAM-03", "void content"): Limit(high=2.0, natural_low=0.0),  # common practice
    ("LAM-09", "specimen mass"): Limit(2.0, 20.0, guard=0),  # laboratory page on EN ISO 1172 method A
    ("LAM-09", "furnace temperature"): Limit(605.0, 645.0, guard=0),  # ISO 1172 A: 625 °C give or take 20 °C
    ("LAM-09", "change on heating again"): Limit(high=1.0, guard=0),  # ISO 1172, from memory
    ("LAM-09", "specimens of the skin"): Limit(low=2.0, guard=0),  # ISO 1172, from memory
    ("LAM-10", "coupons of the skin"): Limit(low=1.0, guard=0),  # common practice
    ("LAM-11", "share broken in the core"): Limit(50.0, None, low_strict=True, guard=0),  # common practice
}
SPREAD_OF_PLATES = 0.63  # per cent by mass: pooled, OptiDAT plate table, 173 plates
CHANCE = 1.96  # two coupons with a larger multiple of it differ by more than chance (normal distribution, 5 %)
FEWEST_COUPONS = 3  # ASTM D2584, 6.1
GLASS_OF_PLY = {  # per cent by mass, thick and thin end: ISO 12215-5:2008 table C.2 "vacuum", and the most found
    "mat": (36.0, 50.0),
    "stitched": (60.0, 74.7),
    "woven": (58.0, 72.0),
    "unidirectional": (66.0, 76.0),
}
BARCOL_READINGS = ((30, 29), (40, 22), (50, 16), (60, 10), (70, 5))  # ASTM D2583, table 1: level, readings
SHARE_OF_HARDNESS = 0.90  # of the maker's Barcol hardness; practice of tank makers
UNTESTED = 0.8  # ISO 12215-5:2008, C.1.4
FEWEST_FOR_BASIS = 10  # practice
STIFFNESS_WINDOW = 0.15  # the book's own rule
GLASS_FIBRE = (72400.0, 0.22)  # MPa and Poisson's ratio of E-glass, from memory
CURED_RESIN = (3300.0, 0.36)  # the same of the resin

COATING = {
    ("COA-02", "time the water film held"): Limit(low=60.0, guard=0),  # ASTM F22, preview pages
    ("COA-03", "particle size ratio"): Limit(high=2.0, guard=0),  # common practice
    ("COA-04", "dew-point margin"): Limit(low=3.0),  # a paint manual; ISO 8502-4
    ("COA-04", "interval between readings"): Limit(high=1.0, guard=0),  # UFGS 09971, page 28
    ("COA-05", "air temperature"): Limit(10.0, 35.0),  # a paint manual
    ("COA-05", "surface temperature"): Limit(10.0, 35.0),
    ("COA-05", "relative humidity"): Limit(high=85.0, natural_low=0.0),
    ("COA-10", "cross-cut class"): Limit(high=1.0, guard=0),  # common practice
    ("COA-11", "gloss at 60°"): Limit(low=85.0),  # a paint maker's sheet
    ("COA-12", "dust inclusions"): Limit(high=5.0, high_strict=True, guard=0),  # a specimen report
    ("COA-13", "colour difference"): Limit(high=1.0, natural_low=0.0),  # common practice
    ("COA-14", "dust quantity"): Limit(high=1.0, guard=0),  # IMO PSPC, from memory
}
SALT_ON_STEEL = Limit(high=50.0, natural_low=0.0)  # IMO MSC.1/Circ.1378
SALT_PRECISION = 8.2  # mg/m², NACE SP0508, at k = 2
PROFILE_ON_ALUMINIUM = Limit(50.0, 75.0)  # a paint maker's guide
PRIMED_ALUMINIUM = Limit(high=4.0, guard=0)  # hours; the same guide
PULL_OFF_BETWEEN_LAYERS = Limit(low=3.5, low_strict=True)  # IMO PSPC, annex 1, from 60 % adhesive failure
PULL_OFF_INSIDE_A_LAYER = Limit(low=3.0, low_strict=True)
LOSS_KNOWN_TO = 5.0  # points: half of the range 30 % to 40 % of a public page
GRIT_SIZE = {  # µm, mean particle size of FEPA grades
    "P36": 538,
    "P40": 425,
    "P50": 336,
    "P60": 269,
    "P80": 201,
    "P100": 162,
    "P120": 125,
    "P150": 100,
    "P180": 82,
    "P220": 68,
    "P240": 58.5,
    "P280": 52.2,
    "P320": 46.2,
    "P360": 40.5,
    "P400": 35.0,
    "P500": 30.2,
    "P600": 25.8,
}
STEP_OF_A_LOG = 1 / 60  # hours: times are written to the minute


def tanaka(temperature: float) -> float:
    """Density of water [g/cm³] at a temperature [°C]: Tanaka et al., Metrologia 38 (2001) 301."""
    t = temperature
    shape = (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881))
    return 0.999974950 * (1 - shape)
