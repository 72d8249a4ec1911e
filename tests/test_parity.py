"""The whole set of chapters and checks: nothing half done. An excuse is listed, and fails once it is not needed."""

from __future__ import annotations

import ast
import csv
import re
from functools import cache
from pathlib import Path

import pytest
from markdown_it import MarkdownIt

from buildbook.chapters import CHAPTERS
from buildbook.core.chapter import Chapter
from buildbook.core.check import Check
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Role, Verdict
from buildbook.core.source import Standing
from buildbook.pipeline import judge, sayable
from buildbook.readers.folder import Folder
from buildbook.readers.gather import gather
from buildbook.readers.hull_file import read_hull
from buildbook.sources import all_sources, hull_spans, limit_tables
from buildbook.sources import table as printed_table

ROOT = Path(__file__).parents[1]
CODE = ROOT / "buildbook" / "chapters"
PROSE = ROOT / "templates" / "chapters"
DEMO = ROOT / "demo_build" / "hull"
CHECKS = [(chapter, check) for chapter in CHAPTERS for check in chapter.checks]
IDS = [check.id for _, check in CHECKS]
HEADINGS = [
    "Why it matters",
    "How it was measured",
    "The limit and who set it",
    "If it is missed",
    "What this does not show",
]
CAUTION = "Caution"  # last, where the work can hurt someone
NOBODYS = ("common-practice", "house-rule")  # sources that are none

# A verdict whose test has another name than test_<check id>_<verdict>_…: the test stands here instead.
NAMED_OTHERWISE = {
    ("REG-01", Verdict.PASS): "test_form_of_the_number",
    ("REG-01", Verdict.FAIL): "test_form_of_the_number",
    ("REG-01", Verdict.NO_RECORD): "test_form_of_the_number",
    ("REG-01", Verdict.INCONCLUSIVE): "test_the_coded_month_lies_between_lay_up_and_delivery",
    ("REG-01", Verdict.NOT_APPLICABLE): "test_above_24_m_no_such_number_is_demanded",
    ("REG-02", Verdict.PASS): "test_a_hold_point_is_released_before_work_goes_on",
    ("REG-02", Verdict.FAIL): "test_a_hold_point_is_released_before_work_goes_on",
    ("REG-02", Verdict.INCONCLUSIVE): "test_a_hold_point_is_released_before_work_goes_on",
    ("REG-02", Verdict.NOT_MEASURED): "test_a_hold_point_is_released_before_work_goes_on",
    ("REG-02", Verdict.NO_RECORD): "test_a_witness_is_told_beforehand_and_comes_or_waives_it",
    ("REG-02", Verdict.INFORMATION): "test_records_that_no_line_asked_for_are_told_for_information",
    ("REG-03", Verdict.PASS): "test_an_instrument_in_order_passes_three_times",
    ("REG-03", Verdict.FAIL): "test_a_reading_after_the_due_date_fails_and_is_named",
    ("REG-03", Verdict.INCONCLUSIVE): "test_a_reading_whose_day_or_instrument_is_lost_holds_it_at_inconclusive",
    ("REG-03", Verdict.NO_RECORD): "test_without_certificate_or_dates_there_is_no_record_of_calibration",
    ("REG-04", Verdict.PASS): "test_rework_that_was_measured_again_and_passes_is_closed",
    ("REG-04", Verdict.CONDITIONAL_PASS): "test_an_accepted_concession_is_a_conditional_pass_and_says_so",
    ("REG-04", Verdict.FAIL): "test_rework_that_does_not_show_what_it_demands_fails",
    ("REG-04", Verdict.INCONCLUSIVE): "test_rework_without_a_check_cannot_be_looked_up",
    ("REG-04", Verdict.NO_RECORD): "test_no_reports_at_all_is_said_and_never_a_pass",
}
# Checks whose limits no specification may set: what they ask for is their own rule, so they name no quantities.
OWN_RULES = ("REG-01", "REG-02", "REG-03", "REG-04")


@cache
def demo() -> tuple[Evidence, tuple[Finding, ...]]:
    """The demonstration folder, read and judged."""
    folder = Folder(DEMO)
    hull, specification, _ = read_hull(folder, sayable(), hull_spans())
    tables = tuple(dict.fromkeys(kind for chapter in CHAPTERS for kind in chapter.tables))
    cross = tuple(check for chapter in CHAPTERS for check in chapter.cross_checks)
    openers = {kind: opener for chapter in CHAPTERS for kind, opener in chapter.opens.items()}
    found = gather(folder, tables, cross_checks=cross, openers=openers, hull=hull, specification=specification)
    evidence = found.evidence
    return evidence, judge(evidence, CHAPTERS)


# Chapters


def test_every_chapter_on_disk_is_in_the_book_and_the_other_way_round():
    on_disk = {path.parent.name for path in CODE.glob("*/__init__.py")}
    assert {chapter.key for chapter in CHAPTERS} == on_disk
    assert {path.name for path in PROSE.iterdir()} == on_disk
    assert len({chapter.key for chapter in CHAPTERS}) == len({chapter.title for chapter in CHAPTERS}) == len(CHAPTERS)


def test_ids_are_unique_sorted_and_numbered_without_a_gap():
    assert len(set(IDS)) == len(IDS)
    for chapter in CHAPTERS:
        own = [check.id for check in chapter.checks]
        (letters,) = {name[:3] for name in own}
        assert own == [f"{letters}-{number:02}" for number in range(1, len(own) + 1)]
    assert len({chapter.checks[0].id[:3] for chapter in CHAPTERS}) == len(CHAPTERS)


def test_questions_differ_and_are_questions():
    questions = [check.question for _, check in CHECKS]
    assert len(set(questions)) == len(questions)
    assert all(question.endswith("?") for question in questions)


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_a_check_rests_on_tables_that_its_book_reads(chapter: Chapter, check: Check):
    read = {kind for one in CHAPTERS for kind in one.tables}
    assert check.tables
    assert set(check.tables) <= read


# Prose


def _page(chapter: Chapter, check: Check) -> str:
    return (PROSE / chapter.key / f"{check.id}.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_a_check_has_its_page_with_every_heading(chapter: Chapter, check: Check):
    tokens = MarkdownIt().parse(_page(chapter, check))
    found = [
        tokens[at + 1].content for at, token in enumerate(tokens) if token.type == "heading_open" and token.tag == "h2"
    ]
    assert [heading for heading in found if heading != CAUTION] == HEADINGS
    assert found[len(HEADINGS) :] in ([], [CAUTION])


def test_no_page_without_a_check():
    pages = {path.stem for path in PROSE.glob("*/*.md")} - {"chapter"}
    assert pages == set(IDS)


def _cited(chapter: Chapter, check: Check) -> set[str]:
    (line,) = re.findall(r'^\[sources\]: # "(.*)"$', _page(chapter, check), re.MULTILINE)
    return {key.strip() for key in line.split(",")}


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_a_check_has_a_known_source_and_its_page_names_the_one_of_each_printed_limit(chapter: Chapter, check: Check):
    cited = _cited(chapter, check)
    assert cited
    assert cited <= set(all_sources())
    printed = {row["source"] for name in LIMITS for row in printed_table(name) if row["check"] == check.id}
    assert {source for source in printed if source not in NOBODYS} <= cited


# Limits

LIMITS = limit_tables()


def test_every_table_of_limits_is_looked_at():
    folder = ROOT / "buildbook" / "sources" / "tables"
    heads = "check,quantity,condition,"
    with_checks = {path.stem for path in folder.glob("*.csv") if path.read_text("utf-8").startswith(heads)}
    assert with_checks == set(LIMITS)


@pytest.mark.parametrize("name", LIMITS)
def test_every_printed_limit_belongs_to_a_quantity_of_its_check(name: str):
    by_id = {check.id: check for _, check in CHECKS}
    for row in printed_table(name):
        check = by_id[row["check"]]
        if check.id in OWN_RULES:
            assert row["quantity"] in _literals(CODE / "register"), row
        else:
            assert check.quantities.get(row["quantity"]) == row["unit"], row


def _literals(folder: Path) -> set[str]:
    """Every text that stands in the code of a chapter."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in folder.rglob("*.py")]
    nodes = [node for tree in trees for node in ast.walk(tree)]
    return {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}


@pytest.mark.parametrize("name", OWN_RULES)
def test_a_check_with_its_own_rules_names_no_quantities(name: str):
    """Once it does, it needs no excuse."""
    assert next(check for _, check in CHECKS if check.id == name).quantities == {}


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_the_quantities_a_check_finds_are_those_it_names(chapter: Chapter, check: Check):
    if check.id in OWN_RULES:
        return
    found = {finding.key.quantity for finding in check.judge(demo()[0])}
    assert found <= set(check.quantities)


# Tests


@cache
def texts_of_tests(chapter: str) -> dict[str, str]:
    """Every test function of a chapter with its source text, decorators included."""
    found: dict[str, str] = {}
    for path in sorted((ROOT / "tests" / "chapters" / chapter).glob("test_*.py")):
        text = path.read_text(encoding="utf-8")
        lines = text.splitlines()
        for node in ast.parse(text).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                first = min([node.lineno, *(mark.lineno for mark in node.decorator_list)])
                found[node.name] = "\n".join(lines[first - 1 : node.end_lineno])
    return found


TOKENS = {verdict.value.replace(" ", "_"): verdict for verdict in Verdict}
ONE_VERDICT = "|".join(sorted(TOKENS, key=len, reverse=True))


def named(test: str, check: str) -> set[Verdict]:
    """The verdicts a test says it reaches: `test_coa_04_conditional_pass_…`, `test_coa_07_pass_or_fail_…`."""
    start = f"test_{check.lower().replace('-', '_')}_"
    if not test.startswith(start):
        return set()
    rest, found = test.removeprefix(start), set()
    while match := re.match(rf"(?:or_|and_)?({ONE_VERDICT})(?:_|$)", rest):
        found.add(TOKENS[match.group(1)])
        rest = rest[match.end() :]
    return found


def shows(source: str, verdict: Verdict) -> bool:
    """Whether the text of a test names the verdict itself, so that a name alone is not enough."""
    return re.search(rf"\b(?:Verdict\.)?{verdict.name}\b", source) is not None


def test_names_of_tests_are_read_as_meant():
    assert named("test_coa_04_conditional_pass_closer", "COA-04") == {Verdict.CONDITIONAL_PASS}
    assert named("test_coa_07_pass_or_fail_by_the_pot_life", "COA-07") == {Verdict.PASS, Verdict.FAIL}
    assert named("test_coa_04_pass", "COA-04") == {Verdict.PASS}
    assert named("test_coa_04_passing_on", "COA-04") == set()
    assert named("test_coa_04_pass_by", "COA-05") == set()
    assert not shows("assert found.verdict is CONDITIONAL_PASS", Verdict.PASS)


VERDICTS = [(chapter, check, verdict) for chapter, check in CHECKS for verdict in sorted(check.verdicts)]


@pytest.mark.parametrize(("chapter", "check", "verdict"), VERDICTS, ids=[f"{c.id} {v}" for _, c, v in VERDICTS])
def test_every_declared_verdict_has_a_test_that_reaches_it(chapter: Chapter, check: Check, verdict: Verdict):
    tests = texts_of_tests(chapter.key)
    by_name = [name for name, text in tests.items() if verdict in named(name, check.id) and shows(text, verdict)]
    excuse = NAMED_OTHERWISE.get((check.id, verdict))
    if excuse is None:
        assert by_name, f"no test_{check.id.lower().replace('-', '_')}_{verdict.value.replace(' ', '_')}_… names it"
    else:
        assert not by_name, "the excuse is no longer needed"
        assert shows(tests[excuse], verdict)


def test_no_excuse_for_what_nobody_declares():
    declared = {(check.id, verdict) for _, check in CHECKS for verdict in check.verdicts}
    assert set(NAMED_OTHERWISE) <= declared


# Demonstration


def _rows(file: str) -> list[list[str]]:
    data = (DEMO / file).read_bytes()
    try:
        lines = data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        lines = data.decode("cp1252").splitlines()
    return [row for row in csv.reader(lines, delimiter=";" if ";" in lines[0] else ",") if any(row)]


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_the_demonstration_has_rows_for_every_table_a_check_rests_on(chapter: Chapter, check: Check):
    for kind in check.tables:
        assert len(_rows(kind.table.file)) > 1, kind.table.file


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_the_demonstration_shows_a_result_of_every_check(chapter: Chapter, check: Check):
    found = [finding for finding in demo()[1] if finding.key.check == check.id and finding.key.role is Role.GOVERNING]
    assert any(finding.verdict.judged or finding.verdict is Verdict.INFORMATION for finding in found)


@pytest.mark.parametrize(("chapter", "check"), CHECKS, ids=IDS)
def test_a_check_gives_only_verdicts_that_it_declares(chapter: Chapter, check: Check):
    assert {finding.verdict for finding in check.judge(demo()[0])} <= check.verdicts


def test_every_limit_in_the_demonstration_says_whose_it_is():
    known = all_sources()
    for finding in demo()[1]:
        for term in finding.limit.terms if finding.limit is not None else ():
            if term.standing is Standing.BUILDER:
                assert term.set_by, finding.key
                assert term.document or term.at, finding.key
            else:
                assert term.source in known, finding.key


def test_verdicts_of_the_demonstration_are_more_than_passes():
    seen = {finding.verdict for finding in demo()[1]}
    assert {Verdict.PASS, Verdict.CONDITIONAL_PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NOT_MEASURED} <= seen
