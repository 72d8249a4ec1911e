"""Write the folder of an invented yacht: every number in it is made up, and the same on every run.

python -m demo_build.make_evidence            writes demo_build/hull/
python -m demo_build.make_evidence FOLDER     writes another folder
"""

from __future__ import annotations

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from buildbook.chapters.coating import records as coating
from buildbook.chapters.register.records import Document, NumberSeen
from buildbook.chapters.shared_records import (
    Hardness,
    Instrument,
    Moisture,
    Nonconformity,
    PhotographRecord,
    Place,
    Planned,
)
from buildbook.core.record import Record
from demo_build.evidence_maker import air, coating_work, nonconformity, paints, papers, pictures, readings, yacht
from demo_build.evidence_maker.tables import YARD_STYLE, Sheet, Style, table_bytes, write_files

SEED = 20260615

DECIMALS: Mapping[type[Record], Mapping[str, int]] = {
    coating.Climate: {"air": 1, "humidity": 1, "surface": 1},
    coating.Colour: {"lightness": 2, "red_green": 2, "yellow_blue": 2},
    coating.Gloss: {"gloss": 1},
    coating.Coat: {"litres": 1},
    coating.Appearance: {"image": 1, "orange_peel": 1},
    Hardness: {"barcol": 1},
    Moisture: {"reading": 1, "dry_reference": 1},
}


def tables() -> dict[type[Record], Sequence[Record]]:
    """Every row of every table; each drawn table has a random stream of its own."""

    def stream(number: int) -> np.random.Generator:
        return np.random.default_rng([SEED, number])

    log, prepared = coating_work.coats(stream(1)), coating_work.preparation(stream(4))
    found: dict[type[Record], Sequence[Record]] = {
        Place: yacht.PLACES,
        Instrument: yacht.instruments(),
        NumberSeen: yacht.NUMBERS_SEEN,
        Document: yacht.DOCUMENTS,
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
    planned = papers.plan(papers.counts(found), log)
    found[Planned] = planned
    found[Nonconformity] = nonconformity.reports(planned, log)
    found[PhotographRecord] = papers.photographs(pictures.CAPTIONS)
    return found


def files() -> dict[str, bytes]:
    """Every file of the folder: path inside it to content."""
    made = {"hull.toml": yacht.hull_toml()}
    for kind, rows in tables().items():
        style = YARD_STYLE if kind is coating.Appearance else Style()
        decimals = DECIMALS.get(kind, {})
        made[kind.table.file] = table_bytes(
            Sheet(kind, rows, Style(decimals, style.delimiter, style.decimal_sign, style.encoding, style.line_end))
        )
    return {**made, **pictures.pictures()}


def main(arguments: Sequence[str]) -> int:
    """Write the folder that the one argument names, or demo_build/hull/."""
    folder = Path(arguments[0]) if arguments else Path(__file__).parent / "hull"
    write_files(folder, files())
    print(f"written: {folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
