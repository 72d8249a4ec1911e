"""Releases: numbered, and what changed since the one before is told in the order in which a reader doubts."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.core.book import Book, Numbered
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Role, Verdict
from buildbook.core.finding_words import result_text
from buildbook.core.hull import Specification
from buildbook.core.release import Change, FormulaText, Release
from buildbook.core.wording import limit_text, verdict_text
from buildbook.exports import differing
from buildbook.pipeline import Made, released
from buildbook.render.jsonfile import read_book
from buildbook.render.package import contents, write
from buildbook.render.sums import read_sums
from buildbook.seal.earlier import NotEarlier
from buildbook.seal.releases import release_after
from buildbook.seal.verify import verify
from tests.demonstration import demonstration
from tests.sample_book import book, received
from tests.seal.test_verify_folder import flip, relisted

SUMS = {name: hashlib.sha256(data).hexdigest() for name, data in received().items() if not name.endswith(".png")}
Alter = Callable[[Numbered], Numbered]


def after(out: Path, now: Book, files: Mapping[str, str] = SUMS) -> Release:
    return release_after(out, now, files, differing)


def lines(release: Release) -> dict[str, tuple[Change, ...]]:
    return {group.key: group.lines for group in release.changes}


def altered(whole: Book, number: str, change: Alter | None) -> Book:
    """The same book with one finding changed, or left out."""

    def of(items: tuple[Numbered, ...]) -> tuple[Numbered, ...]:
        changed = (change(item) if change and item.number == number else item for item in items)
        return tuple(item for item in changed if change or item.number != number)

    chapters = tuple(
        replace(
            chapter,
            checks=tuple(
                replace(check, governing=of(check.governing), references=of(check.references))
                for check in chapter.checks
            ),
        )
        for chapter in whole.chapters
    )
    return replace(whole, chapters=chapters)


def reworded(item: Numbered, **more: Any) -> Numbered:
    finding = replace(item.finding, **more)
    value, limit, verdict = result_text(finding), limit_text(finding.limit), verdict_text(finding)
    return replace(item, finding=finding, value=value, limit=limit, verdict=verdict)


def one_with(whole: Book, verdict: Verdict) -> Numbered:
    return next(item for item in whole.governing if item.finding.verdict is verdict and item.finding.measured)


def test_a_book_without_a_release_before_is_number_one(draft: Path) -> None:
    data = json.loads((draft / "book.json").read_bytes())
    assert data["release"] == {"number": 1, "previous": "", "previous_number": 0, "changes": [], "in_short": ""}
    assert not (draft / "changes.html").exists()


def test_nothing_changed_is_said(draft: Path) -> None:
    release = after(draft, book())
    assert (release.number, release.previous_number, release.changes) == (2, 1, ())
    assert release.previous == hashlib.sha256((draft / "SHA256SUMS").read_bytes()).hexdigest() == verify(draft).digest
    assert release.in_short.startswith("Nothing changed since release 1")


def test_a_limit_that_moved_is_told_first_with_both_values(draft: Path) -> None:
    old = one_with(book(), Verdict.PASS)
    limit = old.finding.limit
    assert limit is not None
    wider = replace(limit, low=(limit.low or 0.0) - 1.0)
    now = altered(book(), old.number, lambda item: reworded(item, limit=wider))
    release = after(draft, replace(now, identity=(("Name", "Other"),)))
    assert next(group.key for group in release.changes) == "limits"
    (change,) = lines(release)["limits"]
    assert limit_text(limit) in change.before
    assert limit_text(wider) in change.after
    assert change.findings == (old.number,)
    assert "verdicts" not in lines(release)


def test_a_limit_that_reads_alike_but_is_guarded_otherwise_is_told(draft: Path) -> None:
    old = one_with(book(), Verdict.PASS)
    assert old.finding.limit is not None
    unguarded = replace(old.finding.limit, guard=0.0)
    now = altered(book(), old.number, lambda item: reworded(item, limit=unguarded))
    (change,) = lines(after(draft, now))["limits"]
    assert (change.before.endswith("guard 1"), change.after.endswith("guard 0")) == (True, True)


def test_a_limit_written_down_on_another_line_is_no_change(draft: Path) -> None:
    old = one_with(book(), Verdict.PASS)
    limit = old.finding.limit
    assert limit is not None
    terms = tuple(replace(term, at=replace(term.at, line=999)) if term.at else term for term in limit.terms)
    assert terms != limit.terms
    now = altered(book(), old.number, lambda item: reworded(item, limit=replace(limit, terms=terms)))
    assert after(draft, now).changes == ()


def test_formulas_and_program_are_compared(tmp_path: Path) -> None:
    first = replace(book(), formulas=(FormulaText("dew_point", "Source: A.", ("COA-04",)),))
    write(first, received(), tmp_path / "out", pdf=False)
    other = FormulaText("dew_point", "Source: B.", ("COA-04",))
    now = replace(first, formulas=(other, FormulaText("new_one", "Source: C.", ("COA-01",))), version="99.1")
    changes = lines(after(tmp_path / "out", now))["formulas"]
    assert [change.what for change in changes] == [
        "The program that computes and judges",
        "Formula dew_point",
        "Formula new_one",
    ]
    assert changes[1].before == "Source: A. Used by COA-04."
    assert (changes[2].before, changes[2].after) == ("", "Source: C. Used by COA-01.")


def test_the_formulas_of_the_demonstration_are_in_its_data() -> None:
    made = demonstration()
    names = {formula.name for formula in made.book.formulas}
    assert len(names) > 40
    assert all(formula.says and formula.checks for formula in made.book.formulas)


def test_verdicts_that_got_worse_come_before_those_that_got_better(draft: Path) -> None:
    worse, better = one_with(book(), Verdict.PASS), one_with(book(), Verdict.FAIL)
    now = altered(book(), better.number, lambda item: reworded(item, verdict=Verdict.PASS))
    now = altered(now, worse.number, lambda item: reworded(item, verdict=Verdict.FAIL))
    first, second = lines(after(draft, now))["verdicts"]
    assert (first.findings, second.findings) == ((worse.number,), (better.number,))
    assert first.before.endswith(": pass")
    assert first.after.endswith(": fail")


def test_values_are_told_to_the_last_digit(draft: Path) -> None:
    item = one_with(book(), Verdict.PASS)
    measured = item.finding.measured
    assert measured is not None
    tiny = replace(measured, value=measured.value + 1e-9)
    now = altered(book(), item.number, lambda one: reworded(one, measured=tiny))
    (change,) = lines(after(draft, now))["values"]
    assert repr(measured.value) in change.before
    assert repr(tiny.value) in change.after


def test_new_findings_and_those_no_longer_there_are_told_the_worst_first(draft: Path, tmp_path: Path) -> None:
    fail, fine = one_with(book(), Verdict.FAIL), one_with(book(), Verdict.PASS)
    fewer = altered(altered(book(), fail.number, None), fine.number, None)
    gone = lines(after(draft, fewer))["gone"]
    assert [change.before.rpartition(": ")[2] for change in gone] == ["fail", "pass"]
    assert {change.after for change in gone} == {""}
    write(fewer, received(), tmp_path / "fewer", pdf=False)
    new = lines(after(tmp_path / "fewer", book()))["new"]
    assert [change.findings for change in new] == [(fail.number,), (fine.number,)]


def test_a_reference_and_the_finding_it_stands_beside_are_told_apart(draft: Path) -> None:
    reference = next(item for chapter in book().chapters for check in chapter.checks for item in check.references)
    assert reference.finding.key.role is Role.REFERENCE
    (change,) = lines(after(draft, altered(book(), reference.number, None)))["gone"]
    assert "(reference)" in change.what


def test_rows_are_told_cell_by_cell_or_whole(draft: Path) -> None:
    table = next(table for table in book().tables if len(table.rows) > 3)
    first, second, *rest = table.rows
    changed = replace(first, cells=("CHANGED", *first.cells[1:]))
    moved = [replace(row, line=row.line - 1) for row in rest]  # the second is gone, all others move up
    now = replace(book(), tables=tuple(
        replace(one, rows=(changed, *moved)) if one.file == table.file else one for one in book().tables
    ))  # fmt: skip
    said = lines(after(draft, now))["rows"]
    heads = [column.head for column in table.columns]
    assert said == (
        Change(f"{table.file}, line {first.line}", f"{heads[0]}: {first.cells[0]}", f"{heads[0]}: CHANGED"),
        Change(f"{table.file}, line {second.line}", "; ".join(second.cells), ""),
    )


def test_files_and_particulars_are_compared(draft: Path) -> None:
    now = replace(book(), identity=(*book().identity, ("Flag", "None")))
    release = after(draft, now, SUMS | {"hull.toml": "0" * 64, "more.csv": "1" * 64})
    assert lines(release)["particulars"] == (Change("Flag", "", "None"),)
    assert [change.what for change in lines(release)["files"]] == ["hull.toml", "more.csv"]


def published(papers: Path) -> tuple[Book, dict[str, str]]:
    """The book in a folder, and the sums of what it publishes, as a build of the same hull gives them."""
    listed = read_sums((papers / "SHA256SUMS").read_bytes()).by_name
    files = {name.removeprefix("evidence/received/"): value for name, value in listed.items() if name != "book.json"}
    return read_book((papers / "book.json").read_bytes(), "book.json"), files


def test_a_book_with_a_copy_in_part_has_no_changed_file_of_itself(papers: Path) -> None:
    whole, files = published(papers)
    assert "evidence/in-part/coating/batches.csv" in files
    assert after(papers, whole, files).changes == ()


def test_documents_that_changed_came_or_went_are_told(papers: Path) -> None:
    whole, files = published(papers)
    first, second, *more = whole.documents
    other = replace(first, sha256="0" * 64)
    come = replace(second, file="documents/new.pdf", sha256="1" * 64)
    said = lines(after(papers, replace(whole, documents=(other, come, *more)), files))["files"]
    assert set(said) == {
        Change(first.file, f"SHA-256 {first.sha256}", f"SHA-256 {'0' * 64}"),
        Change(second.file, f"SHA-256 {second.sha256}", ""),
        Change("documents/new.pdf", "", f"SHA-256 {'1' * 64}"),
    }


def test_what_is_withheld_now_or_no_longer_is_told(papers: Path) -> None:
    whole, files = published(papers)
    column, drawing = whole.withheld
    other = replace(column, sha256="0" * 64)
    said = lines(after(papers, replace(whole, withheld=(other,)), files))["files"]
    assert said == (
        Change("column 'supplier' of coating/batches.csv, withheld", f"SHA-256 {column.sha256}", f"SHA-256 {'0' * 64}"),
        Change("document documents/DWG-201.png, withheld", f"SHA-256 {drawing.sha256}", ""),
    )
    given = {name: value for name, value in files.items() if "in-part" not in name} | {column.file: column.sha256}
    said = lines(after(papers, replace(whole, withheld=(drawing,)), given))["files"]
    assert [(change.what, bool(change.before), bool(change.after)) for change in said] == [
        ("coating/batches.csv", False, True),
        ("column 'supplier' of coating/batches.csv, withheld", True, False),
        ("evidence/in-part/coating/batches.csv", True, False),
    ]


# What is no earlier release


@pytest.mark.parametrize("name", ["SHA256SUMS.release", "coverage.html", "evidence/received/hull.toml"])
@pytest.mark.parametrize("how", ["change", "remove"])
def test_a_folder_that_is_not_whole_is_no_earlier_release(out: Path, name: str, how: str) -> None:
    flip(out / name, 3) if how == "change" else (out / name).unlink()
    with pytest.raises(NotEarlier, match=r"is not as it was built \("):
        after(out, book())


def test_a_signed_release_whose_signature_is_gone_is_no_earlier_release(signed: Path) -> None:
    assert after(signed, book()).number == 2
    (signed / "SHA256SUMS.release.sig").unlink()
    with pytest.raises(NotEarlier, match="its signature is missing"):
        after(signed, book())


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        ({"release": [1]}, "gives no number"),
        ({"release": {"number": True}}, "gives no number"),
        ({"release": {"number": "2"}}, "gives no number"),
        ({"release": None}, "gives no number"),
        ({"hull": {"as_of": 20260615}}, "does not give the day"),
        ({"hull": {"as_of": "yesterday"}}, "does not give the day"),
        ({"hull": {"number": ["XX"]}}, "the book of another hull"),
        ({"hull": []}, "is not the data of a book"),
        ({"version": "9" * 5000}, "made by a newer program"),
        ({"chapters": 7}, "of a form that this program does not know"),
        ({"identity": [[]]}, "of a form that this program does not know"),
        ({"tables": {"a": 1}}, "of a form that this program does not know"),
        ({"photographs": [[]]}, "of a form that this program does not know"),
    ],
)
def test_data_of_another_form_are_refused_in_words(out: Path, spoil: dict[str, Any], words: str) -> None:
    data = json.loads((out / "book.json").read_bytes())
    for name, value in spoil.items():
        data[name] = {**data[name], **value} if name == "hull" and isinstance(value, dict) else value
    (out / "book.json").write_text(json.dumps(data), encoding="utf-8")
    relisted(out, "SHA256SUMS", "SHA256SUMS.release")
    with pytest.raises(NotEarlier, match=words):
        after(out, book())


def test_two_hulls_without_a_number_may_be_two(out: Path) -> None:
    data = json.loads((out / "book.json").read_bytes())
    data["hull"]["number"] = ""
    (out / "book.json").write_text(json.dumps(data), encoding="utf-8")
    relisted(out, "SHA256SUMS", "SHA256SUMS.release")
    with pytest.raises(NotEarlier, match="have no hull number"):
        after(out, replace(book(), hull=replace(book().hull, number="")))


@pytest.mark.parametrize("spoil", ["empty", "changed", "garbage", "nested", "form"])
def test_what_is_no_earlier_release_is_refused_in_words(out: Path, spoil: str) -> None:
    if spoil == "empty":
        shutil.rmtree(out)
        out.mkdir()
    elif spoil == "changed":
        flip(out / "book.json")
    else:
        texts = {"garbage": "x", "nested": "[" * 100_000, "form": '{"hull": {"number": "%s"}, "chapters": [1]}'}
        (out / "book.json").write_text(texts[spoil].replace("%s", book().hull.number), encoding="utf-8")
        digest = hashlib.sha256((out / "book.json").read_bytes()).hexdigest()
        (out / "SHA256SUMS").write_text(f"{digest}  book.json\n", encoding="utf-8")
    with pytest.raises(NotEarlier):
        after(out, book())


def test_another_hull_a_later_day_and_a_newer_program_are_refused(draft: Path) -> None:
    hull = book().hull
    with pytest.raises(NotEarlier, match="the book of another hull"):
        after(draft, replace(book(), hull=replace(hull, number="XX-OTHER")))
    with pytest.raises(NotEarlier, match="is newer"):
        after(draft, replace(book(), hull=replace(hull, as_of=date(2020, 1, 1))))
    with pytest.raises(NotEarlier, match="made by a newer program"):
        after(draft, replace(book(), version=""))


def test_build_tells_why_it_does_not_take_a_folder_for_the_release_before(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    words = ["build", "demo_build/hull", "-o", str(tmp_path / "out"), "--previous", str(tmp_path / "empty")]
    done = CliRunner().invoke(app, words)
    assert done.exit_code == 2
    assert "holds no book" in done.output
    assert not (tmp_path / "out").exists()


# The pages


def test_the_second_release_says_what_changed_and_the_same_inputs_give_the_same_bytes(draft: Path) -> None:
    made = Made(
        book(),
        {name: data for name, data in received().items() if name in SUMS},
        {},
        Evidence(book().hull, Specification()),
    )
    second = released(made, draft)
    assert second == released(made, draft)
    files, *_ = contents(second.book, received(), pdf=False)
    again, *_ = contents(second.book, received(), pdf=False)
    assert files == again
    page = files["changes.html"].decode()
    assert "This is release 2" in page
    assert "Nothing changed since release 1" in page
    assert hashlib.sha256((draft / "SHA256SUMS").read_bytes()).hexdigest() in page
    assert "This is release 2" in files["verify.html"].decode()
    assert 'href="changes.html#changes"' in files["verify.html"].decode()
    listing = next(data.decode() for name, data in files.items() if name.endswith("-listing.html"))
    assert "Release 2" in listing[listing.index("<footer") :]
    assert "release 1" not in files["verify.html"].decode().replace("since release 1", "")


def test_limits_stand_before_all_else_on_the_page(draft: Path) -> None:
    item = one_with(book(), Verdict.PASS)
    assert item.finding.limit is not None
    wider = replace(item.finding.limit, low=-5.0)
    now = altered(book(), item.number, lambda one: reworded(one, limit=wider, verdict=Verdict.FAIL))
    now = replace(now, release=after(draft, now, SUMS | {"more.csv": "0" * 64}))
    page = contents(now, received(), pdf=False)[0]["changes.html"].decode()
    places = [page.index(f'id="changes-{key}"') for key in ("limits", "verdicts", "files")]
    assert places == sorted(places)
    assert "not there" in page
