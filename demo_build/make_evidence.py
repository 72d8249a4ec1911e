"""Write the folder of an invented yacht: every number in it is made up, and the same on every run.

python -m demo_build.make_evidence            writes demo_build/hull/ and demo_build/survey/
python -m demo_build.make_evidence FOLDER     writes her folder elsewhere
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import numpy as np

from buildbook.chapters import machine_records
from buildbook.chapters.coating import records as coating
from buildbook.chapters.laminate import records as laminate
from buildbook.chapters.propeller import blade_records, drive_records
from buildbook.chapters.propeller import records as propeller
from buildbook.chapters.register.records import Document, NumberSeen, Support, Work
from buildbook.chapters.shared_records import (
    Hardness,
    Instrument,
    Moisture,
    Nonconformity,
    PhotographRecord,
    Place,
    Planned,
)
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration import records as vibration
from buildbook.chapters.vibration import sound_records
from buildbook.core.record import Record
from demo_build.evidence_maker import (
    air,
    coating_work,
    document_files,
    drive_papers,
    drive_work,
    laminate_papers,
    laminate_work,
    nonconformity,
    paints,
    papers,
    pictures,
    propeller_blades,
    propeller_papers,
    propeller_work,
    readings,
    register_work,
    sound_work,
    survey_work,
    vibration_papers,
    vibration_work,
    yacht,
)
from demo_build.evidence_maker.tables import YARD_STYLE, Sheet, Style, table_bytes, write_files

SEED = 20260615
SURVEY_SEED = 20260708

DECIMALS: Mapping[type[Record], Mapping[str, int]] = {
    coating.Climate: {"air": 1, "humidity": 1, "surface": 1},
    coating.Colour: {"lightness": 2, "red_green": 2, "yellow_blue": 2},
    coating.Gloss: {"gloss": 1},
    coating.Coat: {"litres": 1},
    coating.Appearance: {"image": 1, "orange_peel": 1},
    laminate.BurnOff: {
        "crucible": 4,
        "full": 4,
        "residue": 4,
        "reheated": 4,
        "length": 2,
        "width": 2,
        "thickness": 2,
        "in_air": 4,
        "in_water": 4,
        "water": 1,
    },
    propeller.PitchReading: {"angle": 2, "height": 2},
    TrialRun: {"speed": 1},
    drive_records.Drive: {"rule_length": 1, "block": 2},
    blade_records.BladeReading: {"angle": 2, "axial": 1, "tip_radius": 1, "roughness": 1},
    blade_records.SectionReading: {"thickness": 2, "length": 1, "cup": 1},
    laminate.StrengthTest: {"width": 2, "thickness": 2},
    laminate.CoreBond: {"length": 1, "width": 1},
    laminate.ThicknessReading: {"thickness": 2},
    Hardness: {"barcol": 1},
    Moisture: {"reading": 1, "dry_reference": 1},
}


def tables() -> dict[type[Record], Sequence[Record]]:
    """Every row of every table; each drawn table has a random stream of its own."""

    def stream(number: int) -> np.random.Generator:
        return np.random.default_rng([SEED, number])

    log, prepared = coating_work.coats(stream(1)), coating_work.preparation(stream(4))
    found: dict[type[Record], Sequence[Record]] = {
        Place: (*yacht.PLACES, *laminate_work.PLACES, *propeller_work.PLACES, *vibration_work.PLACES),
        Instrument: (
            *yacht.instruments(),
            *laminate_papers.instruments(),
            *propeller_papers.instruments(),
            *drive_papers.instruments(),
            *vibration_papers.instruments(),
        ),
        NumberSeen: yacht.NUMBERS_SEEN,
        Document: document_files.with_files(
            (
                *yacht.DOCUMENTS,
                *laminate_papers.DOCUMENTS,
                *propeller_papers.DOCUMENTS,
                *drive_papers.DOCUMENTS,
                *vibration_papers.DOCUMENTS,
            )
        ),
        Support: document_files.supports(),
        Moisture: readings.moisture(stream(2)),
        Hardness: readings.hardness(stream(3)),
        coating.Preparation: prepared,
        coating.WaterBreak: readings.water_break(),
        coating.Product: paints.PRODUCTS,
        coating.Window: paints.windows(),
        coating.Batch: paints.BATCHES,
        coating.Coat: log,
        coating.Climate: air.climate(log, stream(5)),
        coating.FilmReading: readings.film(log, stream(6)),
        coating.PullOff: readings.pull_off(),
        coating.CrossCut: readings.cross_cut(),
        coating.Gloss: readings.gloss(stream(7)),
        coating.Appearance: readings.appearance(),
        coating.Colour: readings.colour(stream(8)),
        coating.MetalPart: readings.metal_parts(),
        coating.Effort: coating_work.effort(prepared),
    }
    found[propeller.Propeller] = propeller_work.PROPELLERS
    found[propeller.DesignSection] = propeller_work.sections()
    found[propeller.PitchReading] = propeller_work.pitch(stream(31))
    found[blade_records.BladeReading] = propeller_blades.blades(stream(32))
    found[blade_records.SectionReading] = propeller_blades.sections(stream(33))
    found |= {**drive_tables(), **vibration_tables()}
    planned = papers.plan(papers.counts(found), log)
    for kind, rows in laminate_tables(stream).items():
        found[kind] = (*found.get(kind, ()), *rows)
    counted = papers.counts(found)
    of_propellers = (*propeller_papers.plan(counted), *drive_papers.plan(counted), *vibration_papers.plan(counted))
    found[Planned] = (*planned, *laminate_papers.plan(counted), *of_propellers, *register_work.plan())
    reports = (
        *laminate_papers.reports(),
        *propeller_papers.reports(),
        *drive_papers.reports(),
        *vibration_papers.reports(),
    )
    found[Nonconformity] = (*reports, *nonconformity.reports(planned, log))
    found[PhotographRecord] = papers.photographs(pictures.CAPTIONS, register_work.SCALES)
    found[laminate.ThicknessReading] = _with_the_lids(laminate_work.thickness(stream(23)))
    found[Work] = register_work.work()
    return found


def _with_the_lids(read: Sequence[laminate.ThicknessReading]) -> Sequence[Record]:
    return (*read, *register_work.thickness(read))


def vibration_tables() -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of the vibration survey."""
    return {
        vibration.Position: vibration_work.positions(),
        vibration.VibrationRecord: vibration_work.records(),
        machine_records.Machine: vibration_work.machinery(),
        vibration.SweepReading: vibration_work.sweeps(),
        sound_records.SoundPlace: sound_work.places(),
        sound_records.SoundLevel: sound_work.levels(),
    }


def drive_tables() -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of balance, room and drive, and of the trial."""
    return {
        drive_records.Balance: drive_work.balance(),
        drive_records.Clearance: drive_work.clearances(),
        drive_records.Drive: drive_work.drives(),
        TrialRun: drive_work.runs(),
        ShaftSpeed: drive_work.shafts(),
    }


def laminate_tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of the laminate, and its rows of the shared ones."""
    return {
        laminate.Material: laminate_work.MATERIALS,
        laminate.Delivery: laminate_work.DELIVERIES,
        laminate.Ply: laminate_work.schedule(),
        laminate.BurnOff: laminate_work.burn_off(stream(21)),
        laminate.PlyCount: laminate_work.ply_counts(),
        laminate.StrengthTest: laminate_work.strength(stream(22)),
        laminate.CoreBond: laminate_work.core_bond(),
        laminate.BondSurvey: laminate_work.bond_surveys(),
        laminate.BondFinding: laminate_work.bond_findings(),
        laminate.ThicknessReading: laminate_work.thickness(stream(23)),
        Hardness: laminate_work.hardness(stream(24)),
        Moisture: laminate_work.moisture(stream(25)),
    }


def files() -> dict[str, bytes]:
    """Every file of the folder: path inside it to content."""
    made = {"hull.toml": yacht.hull_toml()}
    for kind, rows in tables().items():
        style = YARD_STYLE if kind is coating.Appearance else Style()
        decimals = DECIMALS.get(kind, {})
        made[kind.table.file] = table_bytes(
            Sheet(kind, rows, Style(decimals, style.delimiter, style.decimal_sign, style.encoding, style.line_end))
        )
    return {**made, **pictures.pictures(), **document_files.files(), **vibration_work.raw_files()}


def survey_files() -> dict[str, bytes]:
    """Every file of the surveyor's folder: path inside it to content."""
    made = {"hull.toml": survey_work.HULL_TOML.encode("utf-8")}
    for kind, rows in survey_work.tables(SURVEY_SEED).items():
        made[kind.table.file] = table_bytes(Sheet(kind, rows, Style(DECIMALS.get(kind, {}))))
    return {**made, **survey_work.raw_files(SURVEY_SEED)}


def main(arguments: Sequence[str]) -> int:
    """Write her folder where the one argument says, or demo_build/hull/ and with it demo_build/survey/."""
    here = Path(__file__).parent
    folder = Path(arguments[0]) if arguments else here / "hull"
    write_files(folder, files())
    print(f"written: {folder}")
    if not arguments:
        write_files(here / "survey", survey_files())
        print(f"written: {here / 'survey'}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
