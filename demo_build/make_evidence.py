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
from buildbook.chapters.batch_records import Batch
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
from buildbook.chapters.systems.records.electric import VoltageDrop
from buildbook.chapters.systems.records.fuel import SenderReading
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
    infusion_papers,
    infusion_work,
    laminate_papers,
    laminate_work,
    nonconformity,
    paints,
    papers,
    parts_papers,
    pictures,
    propeller_blades,
    propeller_papers,
    propeller_work,
    readings,
    register_work,
    shafting_papers,
    shafting_pictures,
    shafting_work,
    sound_work,
    survey_work,
    systems_papers,
    systems_work,
    vibration_papers,
    vibration_work,
    whole_boat_papers,
    whole_boat_work,
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
    SenderReading: {"sender": 1},
    VoltageDrop: {"source": 2, "load": 2},
    **shafting_papers.DECIMALS,
    **whole_boat_papers.DECIMALS,
}


def tables() -> dict[type[Record], Sequence[Record]]:
    """Every row of every table; each drawn table has a random stream of its own."""

    def stream(number: int) -> np.random.Generator:
        return np.random.default_rng([SEED, number])

    log, prepared = coating_work.coats(stream(1)), coating_work.preparation(stream(4))
    found: dict[type[Record], Sequence[Record]] = {
        Place: places(),
        Instrument: instruments(),
        NumberSeen: yacht.NUMBERS_SEEN,
        Document: document_files.with_files(documents()),
        Support: document_files.supports(),
        Batch: batches(),
        Work: register_work.work(),
        PhotographRecord: papers.photographs({**pictures.CAPTIONS, **shafting_pictures.CAPTIONS}, register_work.SCALES),
        **coating_tables(log, prepared, stream),
        **propeller_tables(stream),
        **vibration_tables(),
        **shafting_papers.tables(stream),
        **systems_work.tables(stream),
        **whole_boat_papers.tables(stream),
    }
    planned = papers.plan(papers.counts(found), log)
    for made in (laminate_tables(stream), infusion_papers.tables(stream), parts_papers.tables()):
        for kind, rows in made.items():
            found[kind] = (*found.get(kind, ()), *rows)
    found[Planned] = (*planned, *plans(papers.counts(found)))
    found[Nonconformity] = (*reports(), *nonconformity.reports(planned, log), *parts_papers.reports())
    return found


def places() -> tuple[Place, ...]:
    """Her places, as the chapters name them."""
    return (
        *yacht.PLACES,
        *laminate_work.PLACES,
        *propeller_work.PLACES,
        *vibration_work.PLACES,
        *infusion_work.PLACES,
        *parts_papers.PLACES,
        *shafting_work.PLACES,
        *systems_work.PLACES,
        *whole_boat_work.PLACES,
    )


PAPERS = (
    laminate_papers,
    propeller_papers,
    drive_papers,
    vibration_papers,
    infusion_papers,
    shafting_papers,
    systems_papers,
    whole_boat_papers,
)


def instruments() -> tuple[Instrument, ...]:
    """Every instrument that a reading names."""
    return (*yacht.instruments(), *(row for chapter in PAPERS for row in chapter.instruments()))


def documents() -> tuple[Document, ...]:
    """Every document that a row names."""
    return (
        *yacht.DOCUMENTS,
        *(row for chapter in PAPERS for row in chapter.DOCUMENTS),
        *parts_papers.DOCUMENTS,
    )


def batches() -> tuple[Batch, ...]:
    """Every batch that came in, of infusion and of parts."""
    return (*infusion_papers.BATCHES, *parts_papers.BATCHES)


def plans(counted: Mapping[tuple[str, str], int]) -> tuple[Planned, ...]:
    """The lines of the plan, but for those of the paint."""
    chapters = (row for chapter in PAPERS for row in chapter.plan(counted))
    return (*chapters, *parts_papers.plan(), *register_work.plan())


def reports() -> tuple[Nonconformity, ...]:
    """The reports, but for those of paint and parts."""
    return tuple(row for chapter in PAPERS for row in chapter.reports())


def coating_tables(
    log: tuple[coating.Coat, ...],
    prepared: tuple[coating.Preparation, ...],
    stream: Callable[[int], np.random.Generator],
) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of preparation and paint, and in those of hardness and moisture before paint."""
    return {
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


def propeller_tables(stream: Callable[[int], np.random.Generator]) -> dict[type[Record], Sequence[Record]]:
    """What stands in the tables of the propellers, of balance, room and drive, and of the trial."""
    return {
        propeller.Propeller: propeller_work.PROPELLERS,
        propeller.DesignSection: propeller_work.sections(),
        propeller.PitchReading: propeller_work.pitch(stream(31)),
        blade_records.BladeReading: propeller_blades.blades(stream(32)),
        blade_records.SectionReading: propeller_blades.sections(stream(33)),
        drive_records.Balance: drive_work.balance(),
        drive_records.Clearance: drive_work.clearances(),
        drive_records.Drive: drive_work.drives(),
        TrialRun: drive_work.runs(),
        ShaftSpeed: drive_work.shafts(),
    }


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
        laminate.ThicknessReading: _with_the_lids(laminate_work.thickness(stream(23))),
        Hardness: laminate_work.hardness(stream(24)),
        Moisture: laminate_work.moisture(stream(25)),
    }


def _with_the_lids(read: Sequence[laminate.ThicknessReading]) -> Sequence[laminate.ThicknessReading]:
    return (*read, *register_work.thickness(read))


def files() -> dict[str, bytes]:
    """Every file of the folder: path inside it to content."""
    made = {"hull.toml": yacht.hull_toml()}
    for kind, rows in tables().items():
        style = YARD_STYLE if kind is coating.Appearance else Style()
        decimals = DECIMALS.get(kind, {})
        made[kind.table.file] = table_bytes(
            Sheet(kind, rows, Style(decimals, style.delimiter, style.decimal_sign, style.encoding, style.line_end))
        )
    return {
        **made,
        **pictures.pictures(),
        **shafting_pictures.pictures(),
        **document_files.files(),
        **vibration_work.raw_files(),
    }


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
