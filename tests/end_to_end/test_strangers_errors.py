"""What somebody with a spreadsheet and no time types into the tables of infusion, parts, shafting and systems.

Each slip gives one message: file, line, column, what was found, and what to do about it; no other row is blamed.
Copies of the demonstration's tables; only the table that is spoiled is read, with those that it refers to.
"""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS, TABLES
from buildbook.core.fault import Fault
from buildbook.core.record import Record, about
from buildbook.readers import gather
from buildbook.readers.folder import Folder
from tests.end_to_end.spoiling import HULL, Sheet

Kind = type[Record]
HEAD = -1  # the row of the heads, where the first row below them is 0
FOLDERS = ("infusion", "parts", "shafting", "systems")
KINDS = {
    kind.table.file: kind
    for kind in TABLES
    if kind.table.file.split("/")[0] in FOLDERS or kind.table.file in ("batches.csv", "effort.csv")
}
CROSS = tuple(check for chapter in CHAPTERS for check in chapter.cross_checks)

UNIT = "the unit belongs in the head"
WORD = "write the number in digits"
ADD = "write an id that it has, or add a row for this one there"
MEANT = "did you mean '{}'?"
HOLLOW = "an empty cell"
CONVERTED = "Its numbers are converted"
IN_HEAD = "write the number in the unit of the head"

# Table, row, column, what is typed there, what the message says besides.
SLIPS = [
    ("infusion/infusions.csv", 0, "started", "09:00", "a time without its day"),
    ("infusion/infusions.csv", 0, "bagged", "9/9/2025 6:00", "write 2025-09-09 06:00"),
    ("infusion/infusions.csv", 0, "left_over", "11.5 kg", UNIT),
    ("infusion/infusions.csv", 0, "left_balance", "BL11", MEANT.format("BL-11")),
    ("infusion/infusions.csv", 0, "flow_length", "2400", "In [mm] it would be 2.4 m"),
    ("infusion/infusions.csv", 0, "resin", "vinylester", ADD),
    ("infusion/drop_tests.csv", 3, "reading", "ok", WORD),
    ("infusion/drop_tests.csv", 0, "reads", "below barometer", MEANT.format("below the barometer")),
    ("infusion/drop_tests.csv", 0, "gauge", "vg11", MEANT.format("VG-11")),
    ("infusion/drop_tests.csv", HEAD, "reading", "reading (mbar)", "write the unit in square brackets"),
    ("infusion/log.csv", 3, "air", "69.6", "In [degF] it would be 20.8889 degC"),
    ("infusion/log.csv", 3, "humidity", "54 %", UNIT),
    ("infusion/log.csv", 3, "humidity", "0.54", "As a fraction it would be 54 %"),
    ("infusion/log.csv", HEAD, "mould", "mould [degF]", CONVERTED),
    ("infusion/mixes.csv", 0, "hardener_mass", "2346", "is one in grams?"),
    ("infusion/mixes.csv", 0, "hardener_mass", "2,346", "write 2346 or 2.346"),
    ("infusion/mixes.csv", 0, "resin_batch", "VR 25 1102", MEANT.format("VR-25-1102")),
    ("infusion/mixes.csv", 0, "closed", "2025-09-09", "a day without its time"),
    ("infusion/resins.csv", 0, "hardener_low", "1.2-1.8", "a range; one number per row"),
    ("infusion/resins.csv", 0, "viscosity", "0.25", "In [Pa.s] it would be 250 mPa.s"),
    ("infusion/resins.csv", 0, "resin", "VE INF", MEANT.format("VE-INF")),
    ("infusion/areas.csv", 0, "glass", "0.68", "As a fraction it would be 68 %"),
    ("infusion/areas.csv", 0, "zone", "bottom", ADD),
    ("infusion/areas.csv", 1, "core_thickness", "0.025", "In [m] it would be 25 mm"),
    ("infusion/areas.csv", HEAD, "area", "area [sqm]", "accepted are m2"),
    ("infusion/batches.csv", 0, "part", "hull shell", ADD),
    ("infusion/batches.csv", 0, "part", "", HOLLOW),
    ("infusion/batches.csv", 0, "batch", "gq-25-0417", MEANT.format("GQ-25-0417")),
    ("infusion/batches.csv", HEAD, "batch", "batches", "a misspelling?"),
    ("parts/list.csv", 0, "quantity", "one", WORD),
    ("parts/list.csv", 0, "quantity", "1 pc", "give the number alone"),
    ("parts/list.csv", 0, "group", "hull", "structure, tanks, underwater, deck or machinery"),
    ("parts/register.csv", 0, "made_on", "02/09/2025", "write 2025-09-02 or 2025-02-09, whichever it is"),
    ("parts/register.csv", 0, "made_on", "45902", "as a spreadsheet counts days"),
    ("parts/register.csv", 0, "released_on", "2025-09-16", "a day without its time"),
    ("parts/register.csv", 0, "state", "installed", "fitted, in stock, scrapped or not used"),
    ("parts/batches.csv", 0, "part", "N-7001", MEANT.format("N7001")),
    ("parts/batches.csv", 0, "used_on", "16.09.2025", "write 2025-09-16"),
    ("parts/batches.csv", 0, "batch", "", HOLLOW),
    ("parts/stock.csv", 0, "where_now", "shelf 4", "in stock, sent back or thrown away"),
    ("parts/stock.csv", 0, "seen_on", "18.05.26", "the year first in four digits"),
    ("parts/stock.csv", 0, "by", "", HOLLOW),
    ("parts/stock.csv", 0, "batch", "ST-60842", MEANT.format("ST-60422")),
    ("batches.csv", 0, "kind", "harder", MEANT.format("hardener")),
    ("batches.csv", 0, "expires", "n/a", "leave it empty where that is allowed"),
    ("batches.csv", 0, "shelf_life", "none", "expected yes or no"),
    ("batches.csv", 3, "shelf_life", "no", "expected yes beside a date in `expires`"),
    ("batches.csv", HEAD, "shelf_life", "shelflife", "a misspelling?"),
    ("batches.csv", 0, "received", "2025-01-07", "a date on or after `made`"),
    ("batches.csv", 0, "made", "03/2025", "the year first in four digits"),
    ("effort.csv", 0, "hours", "480", "In [min] it would be 8 h"),
    ("effort.csv", 0, "hours", "8:30", "write a decimal number"),
    ("effort.csv", 0, "days", "15", "at most 5, the days from `begun` to `ended`"),
    ("effort.csv", 0, "kind", "repair", "preparation, first pass, inspection or rework"),
    ("effort.csv", HEAD, "hours", "hours [min]", CONVERTED),
    ("shafting/shafts.csv", 0, "service", "motor yacht", MEANT.format("yacht")),
    ("shafting/shafts.csv", 0, "strength", "600", "tensile_yield '724'"),
    ("shafting/shafts.csv", 0, "density", "7.85", "In [g/cm3] it would be 7850 kg/m3"),
    ("shafting/shaft_ends.csv", 0, "contact", "0.85", "As a fraction it would be 85 %"),
    ("shafting/shaft_ends.csv", 0, "diameter", "70,020", "write 70020 or 70.020"),
    ("shafting/shaft_ends.csv", 0, "same_mark", "ok", "expected yes or no"),
    ("shafting/run_out.csv", 0, "station", "middle", "bearing, taper or between"),
    ("shafting/run_out.csv", 0, "reading", "±0.02", "give the number alone"),
    ("shafting/run_out.csv", 1, "angle", "90°", UNIT),
    ("shafting/run_out.csv", HEAD, "reading", "reading [um]", "0.02 um in line 2 is 0.00002 mm"),
    ("shafting/couplings.csv", 0, "afloat", "ashore", "expected yes or no"),
    ("shafting/couplings.csv", 8, "hours", "2 days", UNIT),
    ("shafting/couplings.csv", 0, "angle", "top", WORD),
    ("shafting/couplings.csv", HEAD, "gap", "gap [in]", CONVERTED),
    ("shafting/bearings.csv", 0, "clearance", "22", "is it in hundredths?"),
    ("shafting/bearings.csv", 0, "along", "8 grooves", "give the number alone"),
    ("shafting/bearings.csv", 0, "shaft", "port", ADD),
    ("shafting/rudder_stocks.csv", 0, "torque", "2.4", "In [kNm] it would be 2400 Nm"),
    ("shafting/rudder_stocks.csv", 0, "throat", "16.5", "plate '16'"),
    ("shafting/rudder_stocks.csv", 0, "inspected", "dye pen", MEANT.format("dye penetrant")),
    ("systems/bilge_alarms.csv", 0, "way", "water", MEANT.format("water poured in")),
    ("systems/bilge_alarms.csv", 0, "space", "engine room", ADD),
    ("systems/bilge_alarms.csv", 0, "at", "19.05.2026 10:05", "write 2026-05-19 10:05"),
    ("systems/bilge_pumps.csv", 0, "kind", "automatic", MEANT.format("electric, automatic")),
    ("systems/bilge_pumps.csv", 0, "time", "1 min", UNIT),
    ("systems/bilge_pumps.csv", 0, "wanted", "3300", "In [L/h] it would be 55 L/min"),
    ("systems/bonding.csv", 0, "resistance", "<0.5", "give the reading itself"),
    ("systems/bonding.csv", 0, "resistance", "OL", WORD),
    ("systems/bonding.csv", 0, "leads", "0.9", "no less than `leads`"),
    ("systems/circuits.csv", 0, "supply", "24V", MEANT.format("24 V DC")),
    ("systems/circuits.csv", 6, "current", "6.2A", UNIT),
    ("systems/circuits.csv", 0, "drawing", "", HOLLOW),
    ("systems/insulation.csv", 1, "resistance", ">200", "give the reading itself"),
    ("systems/insulation.csv", 0, "between", "L-PE", "live conductors and earth or live and neutral"),
    ("systems/insulation.csv", 0, "circuit", "heater", ADD),
    ("systems/voltage_drop.csv", 0, "load", "0.49", "the voltage at the load, not the drop"),
    ("systems/voltage_drop.csv", 0, "load", "26.12", "source '25.61'"),
    ("systems/voltage_drop.csv", 0, "at", "21.05.2026", "with the time behind it"),
    ("systems/engine_readings.csv", 0, "exhaust", "91", "In [mbar] it would be 9.1 kPa"),
    ("systems/engine_readings.csv", 0, "model", "EM735", MEANT.format("EM 735")),
    ("systems/engine_readings.csv", 0, "coolant_out", "186", "In [degF] it would be 85.5556 degC"),
    ("systems/engine_sheet.csv", 0, "speed_low", "2300-2360", "a range; one number per row"),
    ("systems/engine_sheet.csv", 0, "exhaust", "max 12", "give the number alone"),
    ("systems/engine_sheet.csv", 0, "speed_high", "2200", "speed_low '2300'"),
    ("systems/fuel_fills.csv", 0, "full", "375 gal", UNIT),
    ("systems/fuel_fills.csv", 0, "full", "1.418", "alarm '1347'"),
    ("systems/fuel_fills.csv", 0, "vents", "dry", MEANT.format("dry the whole time")),
    ("systems/gas_tests.csv", 0, "working", "0.03", "In [bar] it would be 30 mbar"),
    ("systems/gas_tests.csv", 0, "strength_minutes", "300", "In [s] it would be 5 min"),
    ("systems/gas_tests.csv", 0, "at", "14/05/2026 10:20", "write 2026-05-14 10:20"),
    ("systems/hose_tests.csv", 0, "pressure", "2.3", "In [bar] it would be 0.23 MPa"),
    ("systems/hose_tests.csv", 0, "nozzle", '1/2"', "a fraction; write it as a decimal number"),
    ("systems/hose_tests.csv", 2, "inside", "a little", "expected yes or no"),
    ("systems/lights_and_stops.csv", 0, "kind", "lights", "navigation light, horn or emergency stop"),
    ("systems/lights_and_stops.csv", 0, "works", "ok", "expected yes or no"),
    ("systems/lights_and_stops.csv", 0, "on", "29.05.2026", "write 2026-05-29"),
    ("systems/pressure_tests.csv", 0, "content", "diesel", "fuel, fresh water, grey water or black water"),
    ("systems/pressure_tests.csv", 0, "density", "0.84", "In [g/cm3] it would be 840 kg/m3"),
    ("systems/pressure_tests.csv", HEAD, "minutes", "minutes [h]", CONVERTED),
    ("systems/residual_current.csv", 0, "rated", "0.03", "In [A] it would be 30 mA"),
    ("systems/residual_current.csv", 0, "tripped", "tripped", "expected yes or no"),
    ("systems/residual_current.csv", 0, "time", "24 ms", UNIT),
    ("systems/safety_devices.csv", 0, "kind", "fire extinguisher", MEANT.format("extinguisher")),
    ("systems/safety_devices.csv", 0, "good_until", "04/2027", "the year first in four digits"),
    ("systems/safety_devices.csv", 0, "on", "yesterday", "write the day in digits"),
    ("systems/seacocks.csv", 0, "size", "2 1/2\"", "a fraction; write it as a decimal number"),
    ("systems/seacocks.csv", 0, "operated", "ok", "opens and shuts, stuck or leaks when shut"),
    ("systems/seacocks.csv", 0, "clamps", "double", WORD),
    ("systems/sender_readings.csv", 2, "display", "30%", UNIT),
    ("systems/sender_readings.csv", 2, "display", "1/4", "a fraction; write it as a decimal number"),
    ("systems/sender_readings.csv", 2, "at", "13/05/2026 08:48", "write 2026-05-13 08:48"),
    ("systems/sockets.csv", 0, "wiring", "ok", "right, reversed, no protective earth or dead"),
    ("systems/sockets.csv", 0, "place", "galley", ADD),
    ("systems/sockets.csv", 0, "at", "10:30", "a time without its day"),
    ("systems/steering.csv", 0, "port", "P 36.2", "give the number alone"),
    ("systems/steering.csv", 0, "port", "0.63", "In [rad] it would be 36."),
    ("systems/steering.csv", 0, "stops", "yes", "held or did not hold"),
    ("systems/trial_fuel.csv", 0, "run", "1", ADD),
    ("systems/trial_fuel.csv", 0, "supply", "117", "supply '117'"),
    ("systems/trial_fuel.csv", HEAD, "supply", "supply [kg/h]", "accepted are L/h"),
    ("systems/weighing.csv", 0, "mass", "7.12", "In [t] it would be 7120 kg"),
    ("systems/weighing.csv", 0, "mass", "7,120", "write 7120 or 7.120"),
    ("systems/weighing.csv", 0, "y", "1.9 port", UNIT),
    ("systems/weighing_aboard.csv", 0, "change", "minus", "taken off or added"),
    ("systems/weighing_aboard.csv", 0, "mass", "ca. 640", "give the number alone"),
    ("systems/weighing_aboard.csv", 0, "attempt", "", HOLLOW),
]  # fmt: skip


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tables alone, as they are."""
    folder = tmp_path_factory.mktemp("strangers") / "hull"
    tables = [path.relative_to(HULL) for path in HULL.rglob("*.csv")]
    for name in (name for name in tables if any(kind.table.file == name.as_posix() for kind in TABLES)):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(HULL / name, folder / name)
    return folder


def needed(kind: Kind) -> tuple[Kind, ...]:
    """A table with all that it refers to, and the batches where it names some."""
    found = [kind, *([KINDS["batches.csv"]] if any(name.endswith("batch") for name in kind.columns()) else [])]
    found = list(dict.fromkeys(found))
    for one in found:
        others = (about(info, "refers") for info in one.columns().values())
        found += [other for other in dict.fromkeys(others) if other is not None and other not in found]
    return tuple(found)


def faults(folder: Path, kinds: tuple[Kind, ...]) -> Counter[Fault]:
    every = gather.gather(Folder(folder), kinds, cross_checks=CROSS).faults
    files = {kind.table.file for kind in kinds}
    return Counter(fault for fault in every if fault.where.file in files)


def after(folder: Path, sheet: Sheet) -> list[Fault]:
    """The faults and notices that there are once a table is changed, and were not before; then it is put back."""
    kind = KINDS[sheet.path.relative_to(folder).as_posix()]
    kinds, data = needed(kind), sheet.path.read_bytes()
    before = faults(folder, kinds)
    try:
        sheet.write()
        return list(faults(folder, kinds) - before)
    finally:
        sheet.path.write_bytes(data)


@pytest.mark.parametrize(("table", "row", "column", "text", "words"), SLIPS)
def test_a_slip_is_told_at_its_place_with_its_remedy(
    place: Path, table: str, row: int, column: str, text: str, words: str
) -> None:
    sheet = Sheet.read(place / table)
    sheet.set(row, column, text)
    at = f"{table}:{sheet.line(row)}, column '"
    told = after(place, sheet)
    assert [fault for fault in told if str(fault).startswith(at) and words in str(fault)], list(map(str, told))
    assert {fault.where.line for fault in told} == {sheet.line(row)}, list(map(str, told))
    assert {fault.where.file for fault in told} == {table}
    shown = text or HOLLOW
    assert any(shown in str(fault) and fault.effect.endswith(".") for fault in told)


@pytest.mark.parametrize("table", sorted(KINDS))
def test_a_row_copied_twice_is_told_at_the_copy(place: Path, table: str) -> None:
    sheet = Sheet.read(place / table)
    sheet.rows.append(list(sheet.rows[1]))
    line = sheet.line(len(sheet.body) - 1)
    same = [one for one in after(place, sheet) if one.where.line == line]
    (fault,) = (one for one in same if one.expected.startswith("one row for each"))
    assert fault.where.column.split(" [")[0] == KINDS[table].table.key[-1]
    assert "as in line 2, and every cell the same; take one of the two out" in fault.found


@pytest.mark.parametrize("table", sorted(KINDS))
def test_each_new_table_has_three_slips_or_more(table: str) -> None:
    assert sum(slip[0] == table for slip in SLIPS) >= 3
