"""Two sides made by hand: findings without folders, and the smallest hull folder with gloss on one zone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from functools import cache
from pathlib import Path

from buildbook.core.decide import decide
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Key, Period
from buildbook.core.hull import Hull, Specification
from buildbook.core.limit import Limit, Term
from buildbook.core.quantity import Quantity
from buildbook.core.source import Standing
from buildbook.second.comparing import compare
from buildbook.second.comparison import Pair
from buildbook.second.reading import Party, read_both

SET = (Term("set for a test", Standing.BUILDER, "builder"),)
AT_LEAST_50 = Limit("%", SET, low=50.0)
PITCH = Limit("mm", SET, low=703.9, high=718.1)
HULL = Hull(name="Specimen", number="XX-EXY00007H526", dates=(("delivered", date(2026, 6, 5)),))
DEMO = Path(__file__).parents[2] / "demo_build"
KEY = Key("LAM-01", "glass content by mass", "L1")


@cache
def demonstration_read() -> tuple[Party, Party, tuple[str, ...]]:
    """The demonstration and its survey, read once for each process; whatever they consist of is frozen."""
    return read_both(DEMO / "hull", DEMO / "survey")


def quantity(value: float, expanded: float | None, coverage: float = 2.0, unit: str = "%") -> Quantity:
    return Quantity(value, unit, expanded, coverage)


def finding(measured: Quantity, limit: Limit | None, key: Key = KEY, day: date = date(2026, 5, 1)) -> Finding:
    judged = decide(measured, limit)
    moment = datetime.combine(day, datetime.min.time())
    return Finding(
        key, judged.verdict, measured, limit, margin=judged.margin, guard=judged.guard, period=Period(moment, moment)
    )


def party(*findings: Finding) -> Party:
    return Party(Evidence(HULL, Specification()), findings, (), {})


def pair_of(surveyor: Quantity, yard: Quantity, limit: Limit | None, *, key: Key = KEY) -> Pair:
    """One reading of both sides, compared."""
    his = finding(surveyor, limit, key, date(2026, 7, 7))
    comparison = compare(party(finding(yard, limit, key)), party(his)).comparison
    (pair,) = (*comparison.pairs, *comparison.in_words)
    return pair


HULL_TOML = """\
as_of = {as_of}

[hull]
name = "Small"
number = "{number}"
demonstration = "Invented for a test."

[dates]
launched = 2026-05-12
delivered = 2026-06-05

[[limits]]
check = "COA-11"
quantity = "gloss at 60°"
low = 85
unit = "GU"
set_by = "builder"
document = "SPEC-07"
revision = "C"
"""
SURVEY_TOML = 'as_of = 2026-07-08\n\n[hull]\nname = "Small"\nnumber = "{number}"\n'
NUMBER = "XX-EXY00007H526"
PLACES = "place,name,kind,x [m],y [m],z [m],painted\nZ1,Topsides,zone,9.5,-2.45,1.1,yes\nZ2,Transom,zone,0.1,0,1,yes\n"
INSTRUMENT_HEADS = (
    "instrument,quantity,type,serial,unit,range_low,range_high,resolution,uncertainty,coverage,certificate"
)
GLOSS_HEADS = "zone,attempt,number,angle [deg],gloss [GU],at,instrument"


def instrument(name: str, serial: str, expanded: str = "1", coverage: str = "2") -> str:
    return f"{name},gloss,gloss meter,{serial},GU,0,200,0.1,{expanded},{coverage},C-1"


def gloss_rows(values: Sequence[float], day: str, meter: str, zone: str = "Z1") -> list[str]:
    return [f"{zone},1,{n},60,{value},{day} 10:{n:02d},{meter}" for n, value in enumerate(values, 1)]


def write(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def lines(*parts: str) -> str:
    return "\n".join(parts) + "\n"


def small_hull(folder: Path, values: Sequence[float] = (88.0, 88.4, 89.0), number: str = NUMBER) -> Path:
    """A hull folder with one zone's gloss."""
    return write(
        folder,
        {
            "hull.toml": HULL_TOML.format(as_of="2026-06-15", number=number),
            "places.csv": PLACES,
            "instruments.csv": lines(INSTRUMENT_HEADS, instrument("GL-01", "77-2019")),
            "coating/gloss.csv": lines(GLOSS_HEADS, *gloss_rows(values, "2026-04-09", "GL-01")),
        },
    )


def small_survey(
    folder: Path,
    values: Sequence[float] = (87.5, 88.0, 88.2),
    *,
    number: str = NUMBER,
    meter: str = instrument("SV-1", "G-4410"),
) -> Path:
    """A surveyor's folder with the same zone's gloss."""
    name = meter.partition(",")[0]
    return write(
        folder,
        {
            "hull.toml": SURVEY_TOML.format(number=number),
            "instruments.csv": lines(INSTRUMENT_HEADS, meter),
            "coating/gloss.csv": lines(GLOSS_HEADS, *gloss_rows(values, "2026-07-07", name)),
        },
    )
