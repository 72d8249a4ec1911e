"""COA-10: what was not tested, where it was tested, how deep, and again after rework. Synthetic rows.

Stress = force / (pi d^2 / 4) (ISO 4624, from memory).
"""

from __future__ import annotations

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.chapters.coating.checks.adhesion import CROSS_CUT, STRENGTH, adhesion
from buildbook.chapters.coating.records import CrossCut, FilmReading, PullOff
from buildbook.chapters.register.reports import CLOSED
from buildbook.chapters.shared_records import Instrument, Nonconformity, Place, Planned
from buildbook.pipeline import judge
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    FAIL,
    NOT_MEASURED,
    PASS,
    Tables,
    expanded,
    instrument,
    limit_of,
    near,
    one,
    planned,
    said,
    specification,
    specified,
    value,
    zone,
)

TESTER = instrument("PO-01", "force", "N", 60.0, range_low=0, range_high=6000)
MINE = specification(specified("COA-10", STRENGTH, "MPa", 3.5))
ZONES = [zone(name) for name in ("Z1", "Z2", "Z3", "Z4")]


def pulled(force=1570.8, **more):
    row = {"specimen": "A-01", "zone": "Z1", "attempt": 1, "dolly": 20, "force": force, "fracture": "100 % B"}
    return {**row, "instrument": "PO-01", "at": "2026-04-08 14:00", **more}


def cut(where="Z2", film=110, **more):
    row = {"zone": where, "attempt": 1, "number": 1, "scale": "ISO 2409", "rating": 0, "spacing": 2, "film": film}
    return {**row, "at": "2026-04-08 15:00", **more}


def held(pulls=(), cuts=(), plan=(), films=()):
    tables: Tables = {PullOff: pulls, CrossCut: cuts, Planned: plan, Instrument: [TESTER], Place: ZONES}
    return evidence({**tables, FilmReading: films}, specification=MINE)


PLAN = [planned("COA-10", "Z4", "coating/pull_off.csv", 3)]


def test_a_painted_zone_without_a_test_of_either_kind_is_a_gap_though_nobody_planned_one():
    found = list(adhesion(held([pulled()], [cut()], PLAN)))
    gaps = [finding for finding in found if finding.verdict is NOT_MEASURED]
    assert [(gap.key.quantity, gap.key.place) for gap in gaps] == [(STRENGTH, "Z4"), (STRENGTH, "Z3")]
    assert said(gaps[1], "neither a pull-off nor a cross-cut stands for this zone; the plan asks for none")
    assert limit_of(gaps[1]).low == 3.5


def test_a_zone_with_one_kind_of_test_says_that_it_has_not_the_other():
    found = list(adhesion(held([pulled()], [cut(), cut("Z3")], PLAN)))
    assert said(one(found, STRENGTH, "Z1"), "No cross-cut of this zone is on record.")
    assert said(one(found, CROSS_CUT, "Z2"), "No pull-off of this zone is on record.")
    both = list(adhesion(held([pulled()], [cut("Z1")], PLAN)))
    assert not any(said(finding, "of this zone is on record") for finding in both if finding.key.place == "Z1")


@pytest.mark.parametrize(("on", "words"), [("witness panel", "on a witness panel"), ("hull", "on the hull")])
def test_where_it_was_pulled_stands_beside_the_result(on, words):
    assert one(adhesion(held([pulled(on=on)], plan=PLAN)), STRENGTH, "Z1").observed == f"100 % B, {words}"


def test_the_tolerance_of_the_dolly_enters_the_uncertainty():
    """+-0.2 mm on 20 mm, rectangular: u(d) = 0.11547 mm, stress goes with 1 / d^2: u = 5 x 2 x 0.11547 / 20 = 0.057735.

    With u(F) = 30 N, 0.095493 MPa: U = 2 sqrt(0.095493^2 + 0.057735^2) = 0.22318.
    """
    found = one(adhesion(held([pulled(dolly_tolerance=0.2)], plan=PLAN)), STRENGTH, "Z1")
    assert (value(found), expanded(found)) == (near(5.0, abs=5e-5), near(0.22318, abs=1e-4))
    assert not said(found, "No tolerance of the dolly")
    bare = one(adhesion(held([pulled()], plan=PLAN)), STRENGTH, "Z1")
    assert expanded(bare) == near(0.19099, abs=1e-5)
    assert said(bare, "No tolerance of the dolly's diameter is on record, so the uncertainty leaves it out.")


def films(um):
    return [{"zone": "Z2", "attempt": 1, "number": n, "thickness": um, "extra": False} for n in (1, 2)]


@pytest.mark.parametrize(
    ("um", "words"),
    [
        (110, []),
        (200, ["The film of this zone measures 200 µm"]),
        (318.6, ["The film of this zone measures 319 µm", "ISO 2409 goes up to 250 µm. For the whole film: an X-cut"]),
    ],
)
def test_a_cut_through_less_than_the_film_of_the_zone_says_so(um, words):
    """ISO 2409 ends at 250 um (pages of two makers of testers, read)."""
    found = one(adhesion(held(cuts=[cut()], plan=PLAN, films=films(um))), CROSS_CUT, "Z2")
    assert found.verdict is PASS
    deep = [note for note in found.notes if "The film of this zone" in note or "ISO 2409 goes" in note]
    assert len(deep) == len(words)
    assert all(note.startswith(start) for note, start in zip(deep, words, strict=True))


# Again after rework: new dollies have new names, the zone has its second attempt, and nothing vanishes.

HEADS = "specimen,zone,attempt,at,on,dolly [mm],dolly_tolerance [mm],force [N],fracture,instrument\n"


def read(folder, *rows):
    path = folder / "coating/pull_off.csv"
    path.parent.mkdir(exist_ok=True)
    lines = [f"{name},Z1,{n},2026-04-08 14:00,hull,20,,1500,100 % B,PO-01" for name, n in rows]
    path.write_text(HEADS + "\n".join(lines) + "\n", encoding="utf-8")
    return gather(Folder(folder), (PullOff,))


def test_attempts_of_pull_offs_count_at_the_zone(tmp_path):
    good = read(tmp_path, ("A-01", 1), ("A-02", 1), ("A-13", 2))
    assert (good.faults, len(good.evidence.of(PullOff))) == ((), 3)
    gap = read(tmp_path, ("A-01", 1), ("A-13", 3))
    assert [(fault.where.line, fault.where.column) for fault in gap.faults] == [(3, "attempt")]
    assert "attempt 2 is missing for zone Z1" in gap.faults[0].found
    assert len(read(tmp_path, ("A-13", 2)).faults) == 1


def report():
    row = {
        "report": "NCR-09",
        "check": "COA-10",
        "quantity": STRENGTH,
        "place": "Z1",
        "condition": "A-01",
        "attempt": 1,
    }
    done = {"disposition": "rework", "reinspected_on": "2026-04-20", "closed_on": "2026-04-21", "as_left_attempt": 2}
    return {**row, "found_on": "2026-04-09", "found_by": "QA KL", "reinspected_by": "QA RT", "other_hulls": "no"} | done


@pytest.mark.parametrize(("second", "closed"), [((1600, 1700), PASS), ((1600, 900), FAIL)])
def test_a_second_attempt_stands_beside_the_first_and_closes_its_report(second, closed):
    """900 N is 2.86 MPa: a fail. After rework two new dollies; the report names the one that failed."""
    again = [pulled(force, specimen=f"A-1{n}", attempt=2) for n, force in enumerate(second)]
    given = evidence(
        {
            PullOff: [pulled(900.0), *again],
            Instrument: [TESTER],
            Place: ZONES,
            Planned: PLAN,
            Nonconformity: [report()],
        },
        specification=MINE,
    )
    found = judge(given, CHAPTERS)
    assert one(found, STRENGTH, "Z1", "A-01").verdict is FAIL
    assert one(found, STRENGTH, "Z1", "A-10", attempt=2).verdict is PASS
    assert one(found, CLOSED, "NCR-09").verdict is closed
