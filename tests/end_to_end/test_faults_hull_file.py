"""hull.toml spoiled in a copy of the demonstration folder: said with its line, and no verdict gets better."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.core.finding import Verdict
from buildbook.readers.hull_file import HullFileUnreadable
from tests.end_to_end.spoiling import HULL, Spoil, a_fifth, faults, findings, made_after, told, verdicts

FILE = "hull.toml"
TEXT = (HULL / FILE).read_text(encoding="utf-8")
DEW = '[[limits]]\ncheck = "COA-04"\nquantity = "dew-point margin"\nlow = 3.0\nunit = "K"\nset_by = "builder"\n'


OUTLINE = TEXT[TEXT.index("profile = [") : TEXT.index("plan = [") + len("plan = [")]


def changed(old: str, new: str, count: int = 1) -> Callable[[Path], object]:
    """hull.toml with some text in place of another, which must be there."""
    assert TEXT.count(old) >= 1, old
    return lambda path: path.write_text(TEXT.replace(old, new, count), encoding="utf-8")


def line(text: str) -> int:
    """The line in which a text first stands."""
    return TEXT[: TEXT.index(text)].count("\n") + 1


MISTAKES = {
    "a quote not closed": (changed('name = "Specimen"', 'name = "Specimen'), line("name =")),
    "no value": (changed("beam = 5.10", "beam ="), line("beam =")),
    "a word without quotes": (changed('category = "B"', "category = B"), line("category =")),
    "a decimal comma": (changed("beam = 5.10", "beam = 5,10"), line("beam =")),
    "a bracket not closed": (changed("[dates]", "[dates"), line("[dates]")),
    "a key twice": (changed("beam = 5.10", "beam = 5.10\nbeam = 5.20"), line("beam =") + 1),
    "a date that is none": (changed("2026-05-12", "2026-05-42"), line("2026-05-12")),
}


@pytest.mark.parametrize(("how", "at"), MISTAKES.values(), ids=MISTAKES)
def test_a_typing_error_that_makes_it_unreadable_is_told_with_its_line(
    hull: Path, how: Callable[[Path], object], at: int
) -> None:
    with pytest.raises(HullFileUnreadable) as refused:
        made_after(hull, FILE, how)
    found = re.match(r"hull\.toml:(\d+)", str(refused.value))
    assert found, str(refused.value)
    assert int(found[1]) in (at, at + 1), str(refused.value)  # a parser may notice at the end of the line
    assert "Without this file no book can be made" in str(refused.value)


@pytest.mark.parametrize(
    "data",
    [TEXT.encode("utf-16"), TEXT.encode("cp1252"), b"\x89PNG\r\n\x1a\n\x00\x00"],
    ids=["UTF-16", "cp1252", "PNG"],
)
def test_bytes_that_are_no_toml(hull: Path, data: bytes) -> None:
    with pytest.raises(HullFileUnreadable, match=r"^hull\.toml"):
        made_after(hull, FILE, lambda path: path.write_bytes(data))


LIMIT = DEW + 'document = "SPEC-07"\nrevision = "C"\nclause = "5.1"\n'
UNUSABLE = {
    "without set_by": (changed(DEW, DEW.replace('set_by = "builder"\n', "")), "who set it"),
    "with an empty set_by": (changed(DEW, DEW.replace('"builder"', '""')), "who set it"),
    "without a document": (changed(LIMIT, LIMIT.replace('document = "SPEC-07"\n', "")), "no document"),
    "without a revision": (changed(LIMIT, LIMIT.replace('revision = "C"\n', "")), "no revision"),
    "with a misspelt key": (changed(DEW, DEW.replace("low =", "lwo =")), "did you mean 'low'?"),
    "with an unknown key": (changed(DEW, DEW + 'colour = "red"\n'), "'colour'"),
    "with a wrong check": (changed(DEW, DEW.replace("COA-04", "COA-99")), "'COA-99'"),
    "with a wrong quantity": (changed(DEW, DEW.replace("dew-point margin", "dewpoint")), "'dewpoint'"),
    "with low above high": (changed(DEW, DEW.replace("low = 3.0", "low = 3.0\nhigh = 2.0")), "not above"),
    "with a text for a number": (changed(DEW, DEW.replace("3.0", '"3.0"')), "without quotes"),
    "with an unknown unit": (changed(DEW, DEW.replace('"K"', '"furlong"')), "furlong"),
    "with a unit of another kind": (changed(DEW, DEW.replace('"K"', '"mm"')), "mm"),
    "without a unit": (changed(DEW, DEW.replace('unit = "K"\n', "")), "the unit of the limit"),
    "without a number": (changed(DEW, DEW.replace("low = 3.0\n", "")), "neither"),
    "not finite": (changed(DEW, DEW.replace("3.0", "nan")), "finite"),
    "twice": (changed(LIMIT, LIMIT + "\n" + LIMIT.replace("3.0", "1.0")), "one entry for each thing"),
    "for a place that is none": (changed(DEW, DEW + 'place = "Z99"\n'), "Z99"),
    "with a negative guard": (changed(DEW, DEW + "guard = -1\n"), "guard"),
    "with a guard far too large": (changed(DEW, DEW + "guard = 10\n"), "guard"),
    "for a coat that is none": (changed(DEW, DEW + 'condition = "Z1-44"\n'), "did you mean 'Z1-4'?"),
    "below zero": (changed(DEW, DEW.replace("3.0", "-1")), "from 1 to 30 K; found -1"),
    "next to nothing": (changed(DEW, DEW.replace("3.0", "1e-12")), "from 1 to 30 K"),
    "beyond everything": (changed(DEW, DEW.replace("3.0", "1e200")), "from 1 to 30 K"),
    "from the wrong side": (changed(DEW, DEW.replace("low =", "high =")), "`low` alone"),
    "under another check": (changed(DEW, DEW.replace("COA-04", "COA-14")), "which is one of COA-04"),
}


@pytest.mark.parametrize(("how", "words"), a_fifth(UNUSABLE.values()), ids=UNUSABLE)
def test_a_limit_that_cannot_be_used_is_told_and_holds_its_check(
    spoil: Spoil, how: Callable[[Path], object], words: str
) -> None:
    made = spoil(FILE, how)
    (fault,) = [text for text in told(made, FILE) if words in text]
    at = re.match(r"hull\.toml:(\d+), limits\[\d+\]", fault)
    assert at, fault
    assert line(DEW) <= int(at[1]) <= line(DEW) + 25
    margins = [one for key, one in findings(made.book).items() if key.check == "COA-04"]
    assert margins
    assert all(one.verdict.rank >= Verdict.INCONCLUSIVE.rank for one in margins)


def test_a_limit_in_another_unit_with_its_own_number_changes_no_verdict(spoil: Spoil, sound: Book) -> None:
    """3 K are 5.4 degrees Fahrenheit of difference; 280 and 450 µm are 0.28 and 0.45 mm."""
    for how in (
        changed(DEW, DEW.replace("low = 3.0", "low = 5.4").replace('"K"', '"degF"')),
        changed('low = 280\nhigh = 450\nunit = "um"', 'low = 0.28\nhigh = 0.45\nunit = "mm"'),
    ):
        made = spoil(FILE, how)
        assert faults(made.book) == []
        assert verdicts(made.book) == verdicts(sound)


RULE = '[[rules]]\ncheck = "COA-08"\nrule = "iso-19840"\n'
RULES = {
    "unknown": changed(RULE, RULE.replace("iso-19840", "rule of thumb")),
    "without set_by": changed(RULE + 'set_by = "builder"\n', RULE),
    "misspelt": changed(RULE, RULE.replace("rule =", "rul =")),
    "of a wrong check": changed(RULE, RULE.replace("COA-08", "COA-88")),
    "under another check": changed(RULE, RULE.replace("COA-08", "COA-14")),
    "of nearly its name": changed(RULE, RULE.replace("iso-19840", "iso-19804")),
    "twice": changed(RULE, RULE + 'set_by = "a"\ndocument = "b"\nrevision = "c"\n\n' + RULE),
}


@pytest.mark.parametrize("how", a_fifth(RULES.values()), ids=RULES)
def test_a_rule_that_cannot_be_used_holds_its_check(spoil: Spoil, how: Callable[[Path], object]) -> None:
    made = spoil(FILE, how)
    films = [one for key, one in findings(made.book).items() if key.check == "COA-08"]
    assert films
    assert all(one.verdict.rank >= Verdict.INCONCLUSIVE.rank for one in films)
    said = told(made, FILE) + [note for one in films for note in one.notes]
    assert any("rule" in words for words in said)


INTERVAL = 'quantity = "interval between readings"\nhigh = 1.0\n'


@pytest.mark.parametrize("end", a_fifth(["-1", "1e-12", "1e200", "0", "24.0"]))
def test_an_interval_that_none_is_holds_its_check_and_ends(spoil: Spoil, end: str) -> None:
    made = spoil(FILE, changed(INTERVAL, INTERVAL.replace("1.0", end)))
    assert told(made, FILE, line(INTERVAL) + 1, "from 0.01 to 6 h")
    margins = [one for key, one in findings(made.book).items() if key.check == "COA-04"]
    assert all(one.verdict.rank >= Verdict.INCONCLUSIVE.rank for one in margins)


KEYS = {
    "a misspelt table": (changed("[[limits]]", "[[limit]]", 40), "limit", "did you mean 'limits'?"),
    "limits as one table": (lambda path: path.write_text(_one_limit(), encoding="utf-8"), "limits", "[[limits]]"),
    "a misspelt key of the hull": (changed('number = "XX', 'nmber = "XX'), "hull.nmber", "did you mean 'number'?"),
    "a misspelt dimension": (changed("length_hull", "lenght_hull"), "dimensions.lenght_hull", "length_hull"),
    "a word for a length": (changed("length_hull = 18.95", 'length_hull = "long"'), "dimensions.length_hull", "'long'"),
    "a negative length": (
        changed("length_hull = 18.95", "length_hull = -18.95"),
        "dimensions.length_hull",
        "above zero",
    ),
    "a word for a date": (changed("delivered = 2026-06-05", 'delivered = "June"'), "dates.delivered", "'June'"),
    "a number for a name": (changed('name = "Specimen"', "name = 7"), "hull.name", "7"),
    "no name": (changed('name = "Specimen"\n', ""), "hull.name", "her name"),
    "no number": (changed('number = "XX-EXY00007H526"\n', ""), "hull.number", "her number"),
    "no day": (changed("as_of = 2026-06-15\n", ""), "as_of", "none"),
    "a day before its records": (changed("2026-06-15", "2025-06-15"), "as_of", "a day not before the last record"),
    "a word for the day": (changed("as_of = 2026-06-15", 'as_of = "today"'), "as_of", "'today'"),
    "points that are none": (changed("[0.00, -0.55]", "[0.00]"), "outline.profile", "points"),
    "one point": (changed(OUTLINE, "profile = [[0.0, 0.0]]\nplan = ["), "outline.profile", "at least 3 points"),
    "a length in millimetres": (changed("18.95\n", "18950\n"), "dimensions.length_hull", "is it in millimetres?"),
    "an outline in words": (changed("[0.00, -0.55]", '"stern"'), "outline.profile", "points"),
}


def _one_limit() -> str:
    """All limits but one left out, and that one as a table of its own."""
    head, _, rest = TEXT.partition("[[limits]]")
    return head + "[limits]" + rest.partition("[[limits]]")[0]


@pytest.mark.parametrize(("how", "part", "words"), a_fifth(KEYS.values()), ids=KEYS)
def test_a_key_that_is_not_understood(spoil: Spoil, how: Callable[[Path], object], part: str, words: str) -> None:
    said = told(spoil(FILE, how), FILE)
    assert any(f", {part}:" in text and words in text for text in said), said


@pytest.mark.parametrize("how", ["no day", "a day before its records", "a word for the day"])
def test_a_day_that_is_not_known_or_in_doubt_leaves_nothing_met(spoil: Spoil, how: str) -> None:
    """A mistyped date of a row is only noticed by the day of the book: without it any reading may be missing."""
    made = spoil(FILE, KEYS[how][0])
    verdicts = {one.verdict for one in findings(made.book).values()}
    assert verdicts
    assert all(verdict.rank >= Verdict.INCONCLUSIVE.rank for verdict in verdicts)


def test_no_hull_file(spoil: Spoil) -> None:
    made = spoil(FILE, Path.unlink)
    assert told(made, FILE, None, "the file that says who she is")
    assert not any(one.verdict in (Verdict.PASS, Verdict.CONDITIONAL_PASS) for one in findings(made.book).values())


@pytest.mark.parametrize("text", ["", "# nothing yet\n", "\n\n"], ids=["no bytes", "a comment", "blank lines"])
def test_an_empty_hull_file(spoil: Spoil, text: str) -> None:
    made = spoil(FILE, lambda path: path.write_text(text, encoding="utf-8"))
    assert told(made, FILE)
    assert not any(one.verdict is Verdict.PASS for one in findings(made.book).values())


def test_a_deleted_limit_is_said_beside_every_finding_it_would_have_judged(hull: Path, sound: Book) -> None:
    """Nobody can tell a deleted limit from one that was never set (docs/decisions/0002), so it is said each time."""
    head = TEXT.partition("[[limits]]")[0]
    found = findings(made_after(hull, FILE, lambda path: path.write_text(head, encoding="utf-8")).book)
    limited = [key for key, one in findings(sound).items() if one.limit and one.limit.terms[0].document == "SPEC-07"]
    assert len(limited) > 100
    for key in limited:
        if key in found:
            limit, said = found[key].limit, " ".join(found[key].notes)
            setter = limit.terms[0].set_by if limit is not None else ""
            others = setter.startswith(("the paint maker's data sheet", "report "))
            assert others or limit is None or "sets no limit here" in said, key
            assert limit is not None or "Nobody set a limit" in said or not found[key].verdict.judged, key
