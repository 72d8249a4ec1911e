"""A table read with the heads and words of columns.toml. The tables are synthetic."""

from __future__ import annotations

from pathlib import Path

import pytest

from buildbook.core.fault import Severity
from buildbook.readers.columns_file import columns_from, read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.gather import Gathered, gather, parsed
from buildbook.readers.own_columns import in_our_names, in_their_heads, spoken_in, unused
from buildbook.readers.table import RawTable, read_table
from tests.readers.synthetic import Log, Spot

TABLES = (Spot, Log)
ROW = "S1,1,1,2026-03-18 08:00,182"
HEADS = "spot,attempt,number,at,film [um]"
SPOTS = "spot,height [m]\nS1,1\n"


def folder(path: Path, log: str, columns: str = "", spots: str = SPOTS) -> Gathered:
    """A folder with these files, gathered."""
    (path / "logs").mkdir(exist_ok=True)
    (path / "spots.csv").write_text(spots, "utf-8")
    (path / "logs/readings.csv").write_text(log, "utf-8")
    (path / "columns.toml").write_text(columns, "utf-8")
    own = read_columns(Folder(path), TABLES)
    return gather(Folder(path), TABLES, own=own.of)


def raw_of(text: str, columns: str) -> RawTable:
    own = columns_from(columns.encode("utf-8"), TABLES).of(Log)
    return in_our_names(read_table(text.encode("utf-8"), "logs/readings.csv"), own, Log)


def test_a_head_keeps_its_text_and_gets_our_name(tmp_path):
    columns = (
        '[heads]\n"Dicke" = "film"\n["logs/readings.csv".heads]\n"Zeit" = "at"\n"nass" = "wet"\n[words]\n"ja" = "yes"\n'
    )
    found = folder(tmp_path, f"spot,attempt,number,Zeit,Dicke [mm],nass\n{ROW[:-3]}0.182, JA \n", columns)
    (row,) = found.evidence.of(Log)
    assert (row.film, row.wet) == (182.0, True)
    raw = found.raw[Log]
    assert raw is not None
    assert [item.text for item in raw.heads] == ["spot", "attempt", "number", "Zeit", "Dicke [mm]", "nass"]
    assert [item.name for item in raw.heads] == ["spot", "attempt", "number", "at", "film", "wet"]
    assert raw.rows[0].cells[-1] == " JA ", "a cell stays as received"
    assert [fault.severity for fault in found.faults if "columns.toml" in str(fault)] == []


@pytest.mark.parametrize(
    ("head", "entry", "film"),
    [
        ("Dicke", '"Dicke" = "film [mm]"', 182000.0),
        ("Dicke [mm]", '"Dicke [mm]" = "film"', 182000.0),
        ("dicke-des films [mil]", '"Dicke des Films" = "film"', 182 * 25.4),  # 1 mil = 25.4 um, ISO 80000-3 by the inch
        ("film", '"film" = "film [mm]"', None),  # beyond what a film can be
    ],
)
def test_the_unit_is_theirs_or_given(tmp_path, head, entry, film):
    row = ROW if film != 182000.0 else ROW.replace("182", "0.182")
    found = folder(tmp_path, f"spot,attempt,number,at,{head}\n{row}\n", f"[heads]\n{entry}\n")
    films = [row.film for row in found.evidence.of(Log)]
    assert films == ([] if film is None else [pytest.approx(182.0 if film == 182000.0 else film)])


@pytest.mark.parametrize(
    ("heads", "entry", "words"),
    [
        ("spot,attempt,number,at,film [um],Dicke [um]", '"Dicke" = "film"', "calls 'Dicke [um]' so"),
        ("spot,attempt,number,at,Dicke [um],Stärke [um]", '"Dicke" = "film"\n"Stärke" = "film"', "'Stärke [um]'"),
        ("spot,attempt,number,at,Dicke [mm]", '"Dicke" = "film [um]"', "found [mm] here and [um] in columns.toml:2"),
        ("spot,attempt,number,at,Dicke", '"Dicke" = "film"', 'or in columns.toml: "Dicke" = "film [um]"'),
        ("spot,attempt,number,at,Dicke [kg]", '"Dicke" = "film"', "another kind of quantity"),
    ],
)
def test_what_cannot_be_told_apart_is_a_fault_of_the_table(tmp_path, heads, entry, words):
    row = ROW + ",190" if heads.count(",") == 5 else ROW
    found = folder(tmp_path, f"{heads}\n{row}\n", f"[heads]\n{entry}\n")
    assert found.evidence.of(Log) == ()
    assert len(found.evidence.unread[Log]) == 1
    (fault,) = [fault for fault in found.faults if fault.severity is Severity.FAULT]
    assert words in str(fault)


def test_a_column_of_ours_never_becomes_another_one(tmp_path):
    """`height` is a stranger to the readings and a column of the spots."""
    columns = '[heads]\n"height" = "film"\n'
    found = folder(tmp_path, f"spot,attempt,number,at,height [um]\n{ROW}\n", columns)
    assert [row.film for row in found.evidence.of(Log)] == [182.0]
    assert [row.height for row in found.evidence.of(Spot)] == [1.0]


def test_what_is_said_of_one_table_goes_before_what_is_said_of_all(tmp_path):
    columns = '[heads]\n"Datum" = "until"\n["logs/readings.csv".heads]\n"Datum" = "day"\n'
    found = folder(tmp_path, f"{HEADS},Datum\n{ROW},2026-03-18\n", columns)
    (row,) = found.evidence.of(Log)
    assert (row.day is None, row.until) == (False, None)
    words = '[words]\n"x" = "yes"\n["logs/readings.csv".words.wet]\n"x" = "no"\n'
    found = folder(tmp_path, f"{HEADS},wet\n{ROW},x\n", words)
    assert [row.wet for row in found.evidence.of(Log)] == [False]


def test_words_change_coded_cells_only_and_only_whole_ones(tmp_path):
    columns = '[words]\n"182" = "yes"\n"S1" = "yes"\n"QA" = "yes"\n"i.O." = "yes"\n'
    found = folder(
        tmp_path, f"{HEADS},wet,by\n{ROW},i.O. , QA\n{ROW.replace('S1,1,1', 'S1,1,2')},very i.O.,QA\n", columns
    )
    (row,) = found.evidence.of(Log)
    assert (row.spot, row.film, row.by, row.wet) == ("S1", 182.0, "QA", True)
    (fault,) = [fault for fault in found.faults if fault.severity is Severity.FAULT]
    assert (fault.where.line, fault.found) == (3, "'very i.O.'")


def test_heads_and_titles_of_the_yards_own_are_known_as_such(tmp_path):
    own = "Ort,Versuch,Nr,Zeit,Dicke [um]"
    columns = '["logs/readings.csv".heads]\n"Ort" = "spot"\n"Versuch" = "attempt"\n"Nr" = "number"\n"Zeit" = "at"\n'
    columns += '"Dicke" = "film"\n'
    again = folder(tmp_path, f"{own}\n{ROW}\n{own}\n", columns)
    assert any("the heads again; take this line out" in fault.found for fault in again.faults)
    titled = folder(tmp_path, f"Protokoll,,,,\n{own}\n{ROW}\n", columns)
    assert any("and the heads in line 2" in fault.found for fault in titled.faults)


@pytest.mark.parametrize(
    "entry", ['"nass" = "wett"', '"nass" = 3', '"nass" = "wet [m]"', '"nass" = "wet"\n"NASS" = "day"']
)
def test_a_head_whose_entry_cannot_be_used_holds_the_table(tmp_path, entry):
    """The wet row would count as one of which nothing is said."""
    log = f"{HEADS},nass\n{ROW},yes\n"
    found = folder(tmp_path, log, f"[heads]\n{entry}\n")
    assert found.evidence.of(Log) == ()
    (unread,) = found.evidence.unread[Log]
    assert unread.why.startswith("columns.toml:2, heads.nass" if "NASS" not in entry else "columns.toml:3, heads.NASS")
    assert unread.get("film") == 182.0, "what can be made out is"


@pytest.mark.parametrize("log", [f"{HEADS},nass\n{ROW},yes\n", f"a,b,c,d,e,f\n{ROW},yes\n"])
def test_a_file_that_cannot_be_read_holds_each_table_with_a_strange_head_and_no_other(tmp_path, log):
    found = folder(tmp_path, log, "[heads]\nnass = wet\n")
    assert found.evidence.of(Log) == ()
    assert all(row.why.startswith("columns.toml:2, character 8: expected") for row in found.evidence.unread[Log])
    assert len(found.evidence.of(Spot)) == 1
    assert not [fault for fault in found.faults if fault.where.file == "logs/readings.csv"]


def test_an_entry_that_no_file_uses_is_a_notice(tmp_path):
    columns = '[heads]\n"Ort" = "spot"\n"Tag" = "day"\n[words]\n"ja" = "yes"\n"nee" = "no"\n'
    found = folder(tmp_path, f"Ort,attempt,number,at,film [um],wet\n{ROW},ja\n", columns)
    own = read_columns(Folder(tmp_path), TABLES)
    told = unused(own, found.raw, found.evidence.missing)
    assert [(fault.where.line, fault.severity, fault.found) for fault in told] == [
        (3, Severity.NOTICE, "'Tag' in none"),
        (6, Severity.NOTICE, "'nee' in none"),
    ]
    assert [one.theirs for one in spoken_in(own, found.raw)] == ["ja"]
    broken = folder(tmp_path, "\x00", columns)
    assert unused(own, broken.raw, broken.evidence.missing) == (), "that file may use them"


def test_messages_name_the_head_as_it_stands_in_the_file(tmp_path):
    columns = '[heads]\n"Versuch" = "attempt"\n"Nr" = "number"\n"Dicke" = "film"\n'
    log = f"spot,Versuch,Nr,at,Dicke [um]\n{ROW}\n{ROW.replace('S1,1,1', 'S1,1,3')}\n{ROW.replace('182', 'x')}\n"
    found = folder(tmp_path, log, columns)
    heads = {fault.where.column for fault in found.faults}
    assert {"Nr", "Dicke [um]"} <= heads
    assert not heads & {"number", "film [um]"}
    assert in_their_heads(found.faults, found.raw) == found.faults


def test_bytes_alone_give_the_same_rows(tmp_path):
    columns = b'[heads]\n"Dicke" = "film"\n'
    data = f"spot,attempt,number,at,Dicke [um]\n{ROW}\n".encode()
    _, rows = parsed(Log, data, own=columns_from(columns, TABLES).of(Log))
    assert [row.model_dump()["film"] for row in rows.records] == [182.0]
    assert raw_of(data.decode(), columns.decode()).heads[-1].said == "columns.toml:2, heads.Dicke"


def test_an_accent_as_a_sign_of_its_own_and_either_micro_are_the_same(tmp_path):
    """As files of two programs have them: Unicode writes u with two dots as one sign or as two, and the micro twice."""
    columns = '[heads]\n"Pr\u00fcfer" = "by"\n"Dicke [\u00b5m]" = "film [\u03bcm]"\n[words]\n"s\u00ed" = "yes"\n'
    log = f"spot,attempt,number,at,Dicke [\u03bcm],Pru\u0308fer,wet\n{ROW},QA,si\u0301\n"
    (row,) = folder(tmp_path, log, columns).evidence.of(Log)
    assert (row.film, row.by, row.wet) == (182.0, "QA", True)


def test_a_file_full_of_entries_is_read():
    entries = "".join(f'"Kopf {number}" = "day"\n' for number in range(9_000))
    own = columns_from(f"[heads]\n{entries}".encode(), TABLES).of(Log)
    raw = read_table(f"{HEADS},Kopf 7\n{ROW},2026-03-18\n".encode(), "logs/readings.csv")
    assert in_our_names(raw, own, Log).heads[-1].name == "day"


@pytest.mark.parametrize(
    ("head", "cell", "may_be", "likely"),
    [
        ("nass", "yes", ["wet", "kind", "by"], "wet"),
        ("nass", "ja", ["wet", "kind", "by"], "wet"),  # columns.toml may say what a word means, too
        ("Luft [°F]", "70", ["air", "margin", "by"], "air"),
        ("Winkel [deg]", "60", ["angle", "by"], "angle"),
        ("Tag", "2026-03-18", ["wet", "kind", "day", "until", "by"], "day"),
        ("Zahl", "3", ["air", "margin", "angle", "by"], "…"),  # it looks like none of them
    ],
)
def test_a_strange_head_holds_the_table_where_it_may_be_a_missing_column(tmp_path, head, cell, may_be, likely):
    """So that no line taken out of columns.toml, and no file, makes anything better."""
    found = folder(tmp_path, f"{HEADS},{head}\n{ROW},{cell}\n")
    assert found.evidence.of(Log) == ()
    (fault,) = [fault for fault in found.faults if fault.severity is Severity.FAULT]
    assert (fault.where.line, fault.where.column) == (1, head)
    assert f"({', '.join(may_be)})" in fault.found
    assert f'"{head}" = "{likely}' in fault.effect
    assert f'"{head}" = "not ours"' in fault.effect
    (unread,) = found.evidence.unread[Log]
    assert f"the head '{head}'" in unread.why
    assert unread.get("film") == 182.0, "what can be made out is"


def test_a_strange_head_with_nothing_below_it_or_what_cannot_be_meant_holds_nothing(tmp_path):
    for head, cell in (("Ort", ""), ("Kraft [N]", "7")):
        heads = HEADS if not cell else f"{HEADS},by"
        row = ROW if not cell else f"{ROW},QA"
        found = folder(tmp_path, f"{heads},{head}\n{row},{cell}\n")
        assert len(found.evidence.of(Log)) == 1
        assert [fault for fault in found.faults if fault.severity is Severity.FAULT] == []


def test_a_head_that_the_yard_keeps_for_itself_holds_nothing(tmp_path):
    log = f"{HEADS},Bemerkung intern,Wetter\n{ROW},schön,gut\n"
    assert folder(tmp_path, log).evidence.of(Log) == ()
    columns = '[heads]\n"Wetter" = "not ours"\n["logs/readings.csv".heads]\n"Bemerkung intern" = "not ours"\n'
    found = folder(tmp_path, log, columns)
    assert len(found.evidence.of(Log)) == 1
    assert [fault for fault in found.faults if "Wetter" in str(fault) or "Bemerkung" in str(fault)] == []
    own = read_columns(Folder(tmp_path), TABLES)
    assert (own.faults, unused(own, found.raw, found.evidence.missing)) == ((), ())
    for spoiled in ("", "not our", "nothing"):
        assert folder(tmp_path, log, columns.replace('"not ours"', f'"{spoiled}"', 1)).evidence.of(Log) == ()


def test_a_column_of_ours_cannot_be_kept_for_oneself(tmp_path):
    log = f"{HEADS},wet\n{ROW},yes\n"
    for part in ("heads", '"logs/readings.csv".heads'):
        found = folder(tmp_path, log, f'[{part}]\n"wet" = "not ours"\n')
        assert [row.wet for row in found.evidence.of(Log)] == [True]
        (fault,) = read_columns(Folder(tmp_path), TABLES).faults
        assert fault.found == "'wet', which logs/readings.csv has"
