"""The folder to an Evidence: missing tables, duplicate keys, references, running numbers. All data are synthetic."""

import io
import struct
import wave

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buildbook.core.fault import Fault, Severity
from buildbook.core.where import Where
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from buildbook.readers.persons import role_and_initials
from buildbook.readers.signal import read_wav
from tests.readers.synthetic import HEADS, Heard, Log, Spot, gathered

SPOTS = "spot,height [m]\nS1,1.2\nS2,1.4\n"
LOG = "logs/readings.csv"


def log(*rows):
    return HEADS + "\n" + "".join(f"{row},2026-03-18 08:00,182\n" for row in rows)


def faults(found):
    return [fault for fault in found.faults if fault.severity is Severity.FAULT]


def lost(found, kind=Log):
    return found.evidence.unread[kind]


def test_a_whole_folder(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,2", "S2,1,1")})
    assert faults(found) == []
    assert len(found.evidence.of(Log, spot="S1")) == 2
    assert found.evidence.missing == {}
    assert found.used == (LOG, "spots.csv")
    assert found.raw[Log] is not None


@pytest.mark.parametrize(
    ("content", "reason"),
    [(None, "not in the folder"), ("", "is empty"), ("\n \n", "is empty"), (HEADS + "\n", "no rows")],
)
def test_a_table_that_is_not_there_or_empty_is_missing_with_its_reason_and_no_fault(tmp_path, content, reason):
    found = gathered(tmp_path, {"spots.csv": SPOTS} | ({} if content is None else {LOG: content}))
    assert reason in found.evidence.missing[Log]
    assert found.evidence.records[Log] == ()
    assert lost(found) == ()
    assert faults(found) == []


def test_a_file_under_a_near_name_is_named(tmp_path):
    found = gathered(tmp_path, {"Spots.CSV": SPOTS})
    assert "'Spots.CSV'" in found.evidence.missing[Spot]


@pytest.mark.parametrize("content", [b"\x00\x01\x02", b"PK\x03\x04", b"%PDF-1.7"])
def test_a_file_that_cannot_be_read_is_a_fault_and_may_concern_anything(tmp_path, content):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: content})
    (fault,) = faults(found)
    assert fault.where == Where(LOG)
    (row,) = lost(found)
    assert row.where == Where(LOG)
    assert set(row.cells.values()) == {None}
    assert Log not in found.evidence.missing
    assert found.raw[Log] is None
    assert LOG in found.used


def test_a_linked_table_is_a_fault_and_not_missing(tmp_path):
    (tmp_path / "outside.csv").write_text(SPOTS)
    (tmp_path / "hull").mkdir()
    (tmp_path / "hull" / "spots.csv").symlink_to(tmp_path / "outside.csv")
    found = gather(Folder(tmp_path / "hull"), (Spot, Log))
    assert any("a link" in fault.found for fault in faults(found))
    assert found.evidence.records[Spot] == ()
    assert Spot not in found.evidence.missing


def test_two_readings_with_one_key_hold_what_they_concern(tmp_path):
    rows = log("S1,1,1", "S1,1,2", "S2,1,1") + "S1,1,2,2026-03-18 08:00,99\n"
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: rows})
    (fault,) = faults(found)
    assert fault.where.line == 5
    assert "line 3" in fault.found
    first, later = lost(found)
    assert (first.where.line, later.where.line) == (3, 5)
    assert (first.get("spot"), first.get("attempt"), first.get("number")) == ("S1", 1, 2)
    # the later row may have been meant for another number, so it concerns every attempt of its spot
    assert (later.get("spot"), later.get("attempt"), later.get("number"), later.get("film")) == ("S1", None, None, 99.0)
    # neither reading is lost, be it a failed one
    assert [row.film for row in found.evidence.of(Log, spot="S1")] == [182.0, 182.0, 99.0]


def test_a_copied_reading_counts_once_and_holds_what_it_concerns(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,2", "S1,1,2")})
    assert [row.where.line for row in found.evidence.of(Log)] == [2, 3]
    assert [row.get("number") for row in lost(found)] == [2, 2]
    assert [fault.where.line for fault in faults(found)] == [4]


def test_two_rows_that_others_look_up_are_both_lost(tmp_path):
    found = gathered(tmp_path, {"spots.csv": "spot\nS1\nS2\nS2\n", LOG: log("S2,1,1")})
    assert [fault.where.line for fault in faults(found)] == [4]
    assert [row.get("spot") for row in lost(found, Spot)] == ["S2", "S2"]
    assert [row.spot for row in found.evidence.of(Spot)] == ["S1"]


def test_a_doubled_place_may_have_been_meant_for_another(tmp_path):
    found = gathered(tmp_path, {"spots.csv": "spot,height [m]\nS1,1\nS1,2\n", LOG: log("S2,1,1")})
    assert [row.get("spot") for row in lost(found, Spot)] == ["S1", None]


def test_an_id_that_is_not_in_its_table(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S9,1,1")})
    (fault,) = faults(found)
    assert (fault.where.line, fault.where.column) == (3, "spot")
    assert "S9" in fault.found
    assert "spots.csv" in fault.expected
    (row,) = lost(found)
    assert row.where.line == 3
    assert row.get("spot") is None
    # nothing of the table is better than inconclusive, and the reading itself is not lost
    assert found.evidence.concerning(Log, "S1", "", 1, None, None) == (row,)
    assert [row.spot for row in found.evidence.of(Log)] == ["S1", "S9"]


def test_an_id_of_an_unreadable_row_is_known(tmp_path):
    found = gathered(tmp_path, {"spots.csv": "spot,height [m]\nS1,high\n", LOG: log("S1,1,1")})
    assert [fault.where.file for fault in faults(found)] == ["spots.csv"]
    assert lost(found) == ()


def test_an_id_where_a_row_of_its_table_lost_its_own(tmp_path):
    found = gathered(tmp_path, {"spots.csv": "spot,height [m]\nS1,1\nS2\n", LOG: log("S2,1,1")})
    (row,) = lost(found)
    assert row.get("spot") == "S2"


def test_an_unreadable_row_with_an_unknown_id_may_concern_any(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: HEADS + "\nS9,1,1,2026-03-18 08:00,x\n"})
    (row,) = lost(found)
    assert row.get("spot") is None


@pytest.mark.parametrize("spots", [{}, {"spots.csv": ""}, {"spots.csv": b"\x00"}, {"spots.csv": "spot,height\nS1,1\n"}])
def test_a_missing_or_unreadable_table_of_ids_is_said_once_for_the_file(tmp_path, spots):
    found = gathered(tmp_path, spots | {LOG: log("S1,1,1", "S1,1,2", "S2,1,1")})
    about_log = [fault for fault in faults(found) if fault.where.file == LOG]
    if spots == {"spots.csv": "spot,height\nS1,1\n"}:  # its ids can still be made out: S2 alone is not there
        assert [fault.where.line for fault in about_log] == [4]
        return
    assert len(about_log) == 1
    assert "spots.csv" in about_log[0].expected
    (row,) = lost(found)
    assert set(row.cells.values()) == {None}
    assert len(found.evidence.records[Log]) == 3


@pytest.mark.parametrize(
    ("numbers", "at", "words"),
    [
        ((1, 2, 4), 4, "number 3 is missing"),
        ((1, 2, 6), 4, "number 3 to 5 are missing"),
        ((2, 3), 2, "number 1 is missing"),
        ((4, 1, 2), 2, "number 3 is missing"),
    ],
)
def test_a_gap_in_the_running_numbers_is_a_lost_row(tmp_path, numbers, at, words):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log(*(f"S1,1,{number}" for number in numbers))})
    (fault,) = faults(found)
    assert fault.where.line == at
    assert words in fault.found
    assert len(found.evidence.records[Log]) == len(numbers)
    (row,) = lost(found)
    assert {name: value for name, value in row.cells.items() if value is not None} == {"spot": "S1", "attempt": 1}


def test_numbers_run_in_each_place_and_attempt(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,2,1", "S2,1,1", "S1,1,2", "S2,1,2")})
    assert faults(found) == []


@pytest.mark.parametrize(
    ("rows", "words"),
    [(("S1,2,1", "S1,2,2"), "attempt 1 is missing"), (("S1,1,1", "S1,3,1"), "attempt 2 is missing")],
)
def test_an_attempt_that_is_missing_is_a_result_that_was_left_out(tmp_path, rows, words):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log(*rows)})
    (fault,) = faults(found)
    assert words in fault.found
    (row,) = lost(found)
    assert {name: value for name, value in row.cells.items() if value is not None} == {"spot": "S1"}


def test_a_number_that_cannot_be_read_explains_the_gap(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,two", "S1,1,3")})
    (fault,) = faults(found)
    assert fault.where.column == "number"
    assert len(lost(found)) == 1


def test_a_mistyped_number_does_not_fill_the_memory(tmp_path):
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,999")})
    (fault,) = faults(found)
    assert "number 2 to 998 are missing" in fault.found


@pytest.mark.parametrize("text", ["QA KL", "painter AB", "PT CD", "MD", "QA", "paint foreman A.B.", "Dr K", "QA-2 KL"])
def test_roles_and_initials(text):
    assert role_and_initials(text)


@pytest.mark.parametrize(
    "text", ["John Smith", "J. Smith", "QA Kim", "Élodie B", "X" * 40, "a role told at much length AB"]
)
def test_what_may_be_a_name(text):
    assert not role_and_initials(text)


def test_a_name_is_a_notice_said_once_and_not_repeated(tmp_path):
    text = HEADS + ",by\n" + "".join(f"S1,1,{n},2026-03-18 08:00,182,John Smith\n" for n in (1, 2, 3))
    found = gathered(tmp_path, {"spots.csv": SPOTS, LOG: text})
    said = [fault for fault in found.faults if fault.where.column == "by"]
    assert [fault.severity for fault in said] == [Severity.NOTICE]
    assert "in 3 rows" in said[0].found
    assert "Smith" not in str(said[0])
    assert len(found.evidence.records[Log]) == 3


def test_cross_checks_take_the_rows_they_name(tmp_path):
    def later_rows_are_wrong(evidence):
        for row in evidence.of(Log):
            severity = Severity.FAULT if row.number == 2 else Severity.NOTICE
            yield Fault(row.cell("film"), "what the other row says", "another thing", "Not used.", severity)

    text = {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,2")}
    gathered(tmp_path, text)
    found = gather(Folder(tmp_path), (Spot, Log), cross_checks=(later_rows_are_wrong,))
    assert [row.number for row in found.evidence.of(Log)] == [1]
    assert [row.where.line for row in lost(found)] == [3]
    assert len(found.faults) >= 2


def test_a_row_that_its_fault_keeps_is_still_a_reading(tmp_path):
    def odd(evidence):
        for row in evidence.of(Log, number=2):
            yield Fault(row.cell("film"), "what the other row says", "another thing", "Judged.", row_kept=True)

    gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,2")})
    found = gather(Folder(tmp_path), (Spot, Log), cross_checks=(odd,))
    assert [row.number for row in found.evidence.of(Log)] == [1, 2]
    assert lost(found) == ()
    assert [fault.where.line for fault in found.faults if fault.effect == "Judged."] == [3]


def test_a_row_that_one_check_takes_out_is_not_seen_by_the_next(tmp_path):
    """What cannot be in one row would make others look wrong that are right."""

    def impossible(evidence):
        for row in evidence.of(Log, number=2):
            yield Fault(row.cell("film"), "another thing", "this", "Not used.")

    def beside(evidence):
        for row in evidence.of(Log):
            if evidence.of(Log, number=2) and row.number != 2:
                yield Fault(row.cell("film"), "what number 2 says", "another thing", "Not used.")

    gathered(tmp_path, {"spots.csv": SPOTS, LOG: log("S1,1,1", "S1,1,2")})
    found = gather(Folder(tmp_path), (Spot, Log), cross_checks=(impossible, beside))
    assert [row.number for row in found.evidence.of(Log)] == [1]
    assert [fault.where.line for fault in faults(found)] == [3]


def test_faults_stand_in_the_order_of_files_and_lines(tmp_path):
    found = gathered(tmp_path, {"spots.csv": "spot,height [m]\nS1,x\nS2,y\n", LOG: log("S1,1,x", "S9,1,1", "S1,1,7")})
    order = [fault.where.order for fault in found.faults]
    assert order == sorted(order)


WHOLE = [f"S{spot},{attempt},{number}" for spot in (1, 2) for attempt in (1, 2) for number in (1, 2, 3)]


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(WHOLE) - 1), st.integers(0, 4), st.sampled_from(["", "x", "S9", "1,2", "\x07", '"', "7"]))
def test_whatever_happens_to_one_cell_its_findings_are_held(tmp_path_factory, index, column, rubbish):
    """Every row is still used as it was, or everything it was part of is held by an unreadable row."""
    root = tmp_path_factory.mktemp("hull")
    rows = [f"{row},2026-03-18 08:00,182" for row in WHOLE]
    cells = rows[index].split(",")
    cells[column] = rubbish
    rows[index] = ",".join(cells)
    found = gathered(root, {"spots.csv": SPOTS, LOG: HEADS + "\n" + "\n".join(rows) + "\n"})
    spot, attempt = WHOLE[index].split(",")[:2]
    kept = [row for row in found.evidence.of(Log, spot=spot, attempt=int(attempt)) if row.film == 182.0]
    held = found.evidence.concerning(Log, spot, "", int(attempt), None, None)
    changed_value = column == 4 and rubbish == "7"
    assert held or len(kept) == 3 or changed_value


def _hear(folder, row):
    return read_wav(folder, row.file, "m/s2", 20.0)


def _wav():
    """A short record, written by the standard library."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(100)
        file.writeframes(struct.pack("<4h", 0, 100, -100, 0))
    return out.getvalue()


def test_records_that_rows_name_are_opened(tmp_path):
    files = {"heard.csv": "record,spot,file\nA,S1,raw/a.wav\n", "raw/a.wav": _wav()}
    found = gathered(tmp_path, files, (Heard,), {Heard: _hear})
    assert found.faults == ()
    (row,) = found.evidence.of(Heard)
    assert found.evidence.signals[row.where].length == 4
    assert "raw/a.wav" in found.used


@pytest.mark.parametrize("name", ["raw/b.wav", "../a.wav", "heard.csv"])
def test_a_record_that_cannot_be_opened_loses_its_row_and_names_both(tmp_path, name):
    text = f"record,spot,file\nA,S1,raw/a.wav\nB,S2,{name}\n"
    found = gathered(tmp_path, {"heard.csv": text, "raw/a.wav": _wav()}, (Heard,), {Heard: _hear})
    (fault,) = found.faults
    assert str(fault).startswith("heard.csv:3, column 'file': expected ")
    assert name in fault.found
    assert [row.record for row in found.evidence.of(Heard)] == ["A"]
    assert [row.get("spot") for row in found.evidence.lost(Heard)] == ["S2"]


def test_an_index_beside_its_record_is_not_told(tmp_path):
    rows = {"heard.csv": "record,spot,file\nA,S1,raw/a.tdms\n", "raw/a.tdms": _wav(), "raw/a.tdms_index": b"TDSh"}
    assert gathered(tmp_path / "one", rows, (Heard,), {Heard: _hear}).faults == ()
    (told,) = gathered(tmp_path / "two", {**rows, "raw/b.tdms_index": b"TDSh"}, (Heard,), {Heard: _hear}).faults
    assert told.where.file == "raw/b.tdms_index"


def test_a_file_among_the_records_that_no_row_names_is_told(tmp_path):
    files = {"heard.csv": "record,spot,file\nA,S1,raw/a.wav\n", "raw/a.wav": _wav(), "raw/b.wav": _wav(), "c.wav": b"x"}
    (told,) = gathered(tmp_path, files, (Heard,), {Heard: _hear}).faults
    assert (told.where.file, told.severity) == ("raw/b.wav", Severity.NOTICE)
    assert "a row that names this file" in str(told)


@pytest.mark.parametrize("row", ["B,S9 9,raw/b.wav,more", "B,,raw/b.wav", "B,S2,raw/b.wav "])
def test_a_file_that_an_unreadable_row_names_is_not_told_as_named_by_none(tmp_path, row):
    files = {"heard.csv": f"record,spot,file\nA,S1,raw/a.wav\n{row}\n", "raw/a.wav": _wav(), "raw/b.wav": b"RIFF"}
    found = gathered(tmp_path, files, (Heard,), {Heard: _hear})
    assert [row.record for row in found.evidence.of(Heard)] == ["A"]
    assert [fault.where.file for fault in found.faults] == ["heard.csv"]
    assert found.named == {"raw/a.wav", "raw/b.wav"}


def test_a_near_name_of_a_record_is_that_of_one_that_no_row_has(tmp_path):
    text = "record,spot,file\nA,S1,raw/a1.wav\nB,S2,raw/A2.wav\n"
    files = {"heard.csv": text, "raw/a1.wav": _wav(), "raw/a2.wav": _wav()}
    (fault,) = faults(gathered(tmp_path, files, (Heard,), {Heard: _hear}))
    assert fault.found == "'raw/A2.wav', which is not there (did you mean 'raw/a2.wav'?)"
    (tmp_path / "raw" / "a2.wav").unlink()
    (fault,) = faults(gathered(tmp_path, {}, (Heard,), {Heard: _hear}))
    assert fault.found == "'raw/A2.wav', which is not there"  # a1 is the record of another row
