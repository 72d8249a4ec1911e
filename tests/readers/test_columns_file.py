"""columns.toml as strangers fill it: what is taken, each mistake told with line and remedy. Synthetic tables."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.core.fault import Severity
from buildbook.readers.columns_file import columns_from, parts_there, read_columns
from buildbook.readers.folder import Folder
from buildbook.readers.own_columns import OwnColumns
from tests.readers.synthetic import Log, Spot

KINDS = (Spot, Log)
WHOLE = """\
[heads]
"Stelle" = "spot"

["logs/readings.csv".heads]
"Schichtdicke [µm]" = "film"
"Luft" = "air [degC]"

["logs/readings.csv".words.kind]
"Deckanstrich" = "top-coat"

[words]
"ja" = "yes"
"""


def columns(text: str) -> OwnColumns:
    return columns_from(text.encode("utf-8"), KINDS)


def test_what_a_yard_says_is_taken_with_its_line():
    own = columns(WHOLE)
    assert own.faults == ()
    assert [(one.theirs, one.column, one.unit, one.table, one.at.line) for one in own.heads] == [
        ("Stelle", "spot", None, "", 2),
        ("Schichtdicke [µm]", "film", None, "logs/readings.csv", 5),
        ("Luft", "air", "degC", "logs/readings.csv", 6),
    ]
    assert [(one.theirs, one.ours, one.table, one.column, one.at.line) for one in own.words] == [
        ("ja", "yes", "", "", 12),
        ("Deckanstrich", "top-coat", "logs/readings.csv", "kind", 9),
    ]


def test_a_folder_without_one_has_no_heads_of_its_own(tmp_path: Path):
    assert read_columns(Folder(tmp_path), KINDS) == OwnColumns()
    assert parts_there(Folder(tmp_path)) == ()
    (tmp_path / "columns.toml").write_text(WHOLE, "utf-8")
    assert read_columns(Folder(tmp_path), KINDS) == columns(WHOLE)
    assert "logs/readings.csv.heads" in parts_there(Folder(tmp_path))
    (tmp_path / "columns.toml").unlink()
    (tmp_path / "columns.toml").symlink_to(tmp_path / "elsewhere")
    assert read_columns(Folder(tmp_path), KINDS).unreadable is not None


HEADS = [
    # An entry below [heads], what was expected, what was found and is to be done.
    ('"Datum" = "dai"', "a column of a table", "(did you mean 'day'?)"),
    ('"Datum" = "qqqqq"', "(see columns.md)", "'qqqqq'"),
    ('"Film" = "film [kg]"', "a unit for 'film [um]'", "another kind of quantity"),
    ('"Film" = "film [furlong]"', "(accepted are um, mm, ", "'furlong' is not a unit this book knows"),
    ('"Film [kg]" = "film"', "a unit for 'film [um]'", "another kind of quantity"),
    ('"Film [mm]" = "film [um]"', "one unit", 'write "Film [mm]" = "film"'),
    ('"Art" = "kind [m]"', "'kind' without a unit", "'kind [m]'"),
    ('"day" = "until"', "a head that is no column of ours", "no column can stand for another"),
    ('"Datum" = 3', "the name of a column between quotes", "3"),
    ('Da.tum = "day"', "the name of a column between quotes", "a head with a dot, without quotes around it"),
    ('"" = "day"', "a head between the quotes", "none"),
    ('"Datum" = "day"\n"datum " = "until"', "each head once", "as in line 2; take one of the two out"),
]
WORDS = [
    (
        '"erster" = "frist coat"',
        "(yes, no, first coat, top-coat)",
        "did you mean 'first coat'",
    ),
    ('"no" = "yes"', "a word that is none of ours", "no word can change its meaning"),
    ('"top coat" = "first coat"', "a word that is none of ours", "which kind of logs/readings.csv takes"),
    ('"ja" = true', "a word of ours between quotes", 'write "yes"'),
    ('"" = "yes"', "a word between the quotes", "none"),
    ('"ja" = "yes"\n"Ja " = "no"', "each word once", "as in line 2; take one of the two out"),
    ('[words.film]\n"dick" = "200"', "a column of a table that takes a few words only (wet, kind)", "holds numbers"),
    ('[words.angle]\n"flach" = "85"', "takes a few words only", "holds numbers"),
    ('[words.day]\n"heute" = "yes"', "takes a few words only", "holds dates"),
    ('[words.by]\n"Chef" = "QA KL"', "takes a few words only", "holds any text"),
    ('[words.kid]\n"ja" = "yes"', "takes a few words only", "(did you mean 'kind'?)"),
    ('[words.kind]\n"ja" = "yes"', "a word of kind (first coat, top-coat)", "'yes'"),
]


@pytest.mark.parametrize(
    ("part", "entry", "expected", "found"),
    [("heads", *one) for one in HEADS] + [("words", *one) for one in WORDS],
)
def test_a_mistake_in_an_entry_is_told_with_its_line_and_the_entry_is_not_used(part, entry, expected, found):
    own = columns(f"[{part}]\n{entry}\n")
    assert (own.heads, own.words) == ((), ())
    (fault,) = own.faults
    assert expected in fault.expected
    assert found in fault.found
    assert fault.effect.startswith("It is not used")
    assert fault.severity is Severity.FAULT
    last = len(entry.splitlines()) + 1
    assert fault.where.line == (last - 1 if entry.startswith("[") and "takes a few" in expected else last)
    assert bool(own.doubts) == (part == "heads"), "what such a head stands for nobody knows"


@pytest.mark.parametrize(
    ("text", "line", "expected", "found", "in_doubt"),
    [
        ('["logs/readings.csv".heads]\n"A" = "day"\n"B" = "day"', 3, "one head for a column", "in line 2", ["A", "B"]),
        ('"Datum" = "day"', 1, "[heads] or [words] above", "'Datum'", ["Datum"]),
        ('[head]\n"Datum" = "day"', 1, "heads, words, or a table", "(did you mean 'heads'?)", ["Datum"]),
        ('["log/reading.csv".heads]\n"A" = "day"', 1, "by its file", "(did you mean 'logs/readings.csv'?)", ["A"]),
        ('["spots.csv"]\n"A" = "spot"', 2, '["spots.csv".heads]', "'A' below", ["A"]),
        ('["spots.csv".haeds]\n"A" = "spot"', 1, '["spots.csv".heads]', "(did you mean 'heads'?)", ["A"]),
        ('[spots.csv.heads]\n"A" = "spot"', 1, 'between quotes, like ["spots.csv".heads]', "no quotes", ["A"]),
        ('heads = "A"', 1, "heads below [heads]", "'A'", []),
        ("words = 1", 1, "words below [words]", "1", []),
        ('"spots.csv" = 1', 1, 'heads of this table below ["spots.csv".heads]', "1", []),
    ],
)
def test_a_mistake_in_a_part_is_told_with_its_line(text, line, expected, found, in_doubt):
    own = columns(text)
    assert (own.heads, own.words, own.unreadable) == ((), (), None)
    fault = own.faults[0]
    assert fault.where.line == line
    assert expected in fault.expected
    assert found in fault.found
    assert [one.theirs for one in own.doubts] == in_doubt


@pytest.mark.parametrize(
    ("entry", "expected", "found"),
    [
        ('"Datum" = day', "text between quotes", 'write "day"'),
        ('"Datum": "day"', 'an equals sign behind "Datum"', '"Datum": "day"'),
        ('"Datum" -> "day"', 'an equals sign behind "Datum"', '"Datum" -> "day"'),
        ('"Datum" "day"', 'an equals sign behind "Datum"', '"Datum" "day"'),
        ("Datum; day", "an equals sign behind Datum", "Datum; day"),
        ('Schichtdicke [µm] = "film"', "between quotes", 'write "Schichtdicke [µm]" = "film"'),
        ('Prüfer = "by"', "between quotes", 'write "Prüfer" = "by"'),
        ('"Datum = "day"', "quotation marks in pairs", '"Datum = "day"'),
        ('"Datum" = "day', "text between quotes", "the closing quotation mark is missing"),
        ('"Datum" = \u201cday\u201d', "straight quotation marks", "\u201cday\u201d"),
        ('\u201eDatum\u201c = "day"', "straight quotation marks", "\u201eDatum\u201c"),
        ('"Tag" = "day"\n"Tag" = "until"', "each entry once in its part", '"Tag" again; take one'),
        ('"Tag" = "day"\n[heads]', "each part once", "[heads] again; put the lines of both below one"),
        ("[logs/readings.csv.heads]", "the name of a table between quotes", 'write ["logs/readings.csv".heads]'),
        ('["spots.csv".heads', "a closing bracket", '["spots.csv".heads'),
    ],
)
def test_a_slip_that_stops_the_file_is_told_once_with_its_line_and_what_follows(entry, expected, found):
    own = columns(f"[heads]\n{entry}\n")
    (fault,) = own.faults
    assert own.unreadable == fault
    assert fault.where.line == 1 + len(entry.splitlines())
    assert expected in fault.expected
    assert found in fault.found
    assert "Nothing of it is used" in fault.effect


def test_text_in_another_encoding_is_told():
    own = columns_from('[heads]\n"Prüfer" = "by"\n'.encode("cp1252"), KINDS)
    assert own.unreadable is not None
    assert own.unreadable.where.line == 2
    assert "UTF-8" in own.unreadable.expected


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path):
    text = WHOLE + "#" * 200_000
    (tmp_path / "columns.toml").write_text(text, "utf-8")
    for own in (columns(text), read_columns(Folder(tmp_path), KINDS)):
        assert own.unreadable is not None
        assert "at most" in own.unreadable.expected
        assert own.heads == ()


def test_what_is_ours_already_is_only_said():
    own = columns('[heads]\n"Film" = "film"\n[words]\n"yes" = "yes"\n')
    assert [(fault.severity, fault.where.line) for fault in own.faults] == [
        (Severity.NOTICE, 2),
        (Severity.NOTICE, 4),
    ]
    assert (own.heads, own.words, own.doubts) == ((), (), ())


def test_one_broken_entry_leaves_the_others():
    own = columns(WHOLE.replace('"spot"', '"sport"'))
    assert len(own.faults) == 1
    assert len(own.heads) == 2
    assert len(own.words) == 2


@pytest.mark.parametrize("before", ["", "[heads]\n", "[words]\n", '["spots.csv"]\n', "[words.kind]\n"])
def test_parts_in_each_other_without_end_are_told(before):
    own = columns(before + ".".join(["a"] * 3000) + " = 1\n")
    assert own.unreadable is not None
    assert own.unreadable.found == "too many"


PARTS = '[heads] [words] ["logs/readings.csv".heads] [words.kind] ["spots.csv"'
ENTRIES = '"Datum" "day" "film" "yes" "ja" spot . [ ] { } = " \' # 1 true ü ,'
PIECES = st.sampled_from((*PARTS.split(), *ENTRIES.split(), "\n", " "))


@given(st.lists(PIECES, max_size=30))
def test_whatever_stands_in_it_is_taken_or_told(pieces):
    """No text stops the program, and each entry that is not used has a fault or a notice with its line."""
    text = "".join(pieces)
    own = columns(text)
    assert own.unreadable is None or own.faults == (own.unreadable,)
    assert not own.unreadable or not (own.heads or own.words)
    assert all(fault.expected and fault.found and fault.effect for fault in own.faults)
    assert own.faults or not own.doubts
    for kind in KINDS:
        own.of(kind)


@given(st.permutations(WHOLE.splitlines()), st.integers(0, len(WHOLE)), st.sampled_from(list('"[]=.#\n')))
def test_lines_in_another_order_and_a_sign_too_many_are_taken_or_told(lines, at, sign):
    text = "\n".join(lines)
    own = columns(text[:at] + sign + text[at:])
    assert own.faults or own.heads or own.words
