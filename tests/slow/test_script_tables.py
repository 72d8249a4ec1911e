"""The tables of the site with script: rows found by words and by verdict, put in order, never hiding bad news silently.

Outside measures: `book.json`, and the texts of the rows as they are written.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page

from buildbook.render.package import contents
from tests.end_to_end.builds import Build
from tests.sample_book import book as sample
from tests.sample_book import received
from tests.slow.browsing import book as book_data
from tests.slow.scripted import (
    PHONE,
    Opened,
    check,
    main_rows,
    numbers,
    shown,
    tools,
    watched,
    words_field,
)

pytestmark = pytest.mark.slow
EXCEPTIONS = {"conditional pass", "conditional fail", "fail", "inconclusive", "not measured", "no record"}
CHAPTER = "Exceptions and gaps of this chapter"
FOLDED = "More findings of COA-05"


@pytest.fixture(scope="module")
def book(build: Build) -> dict[str, Any]:
    return book_data(build.out)


def test_words_find_rows_and_what_is_hidden_is_told(opened: Opened, book: dict[str, Any]) -> None:
    page = opened("coating")
    label = CHAPTER
    before = numbers(main_rows(page, label))
    words_field(page, label).fill("TRANSOM  film")
    texts = {number: row_text(page, label, number) for number in before}
    wanted = [number for number in before if "transom" in texts[number] and "film" in texts[number]]
    assert shown(page, label) == wanted
    assert 0 < len(wanted) < len(before)
    verdicts = {item["number"]: item["finding"]["verdict"] for item in everything(book)}
    hidden = sum(verdicts[number] in EXCEPTIONS for number in before if number not in wanted)
    assert hidden > 10
    said = tools(page, label).get_by_role("status")
    assert said.inner_text() == f"{len(wanted)} of {len(before)} rows shown. {hidden} exceptions or gaps are hidden."
    tools(page, label).get_by_role("button", name="Show all rows").click()
    assert shown(page, label) == before
    assert said.inner_text() == f"{len(before)} rows"


def everything(book: dict[str, Any]) -> list[dict[str, Any]]:
    return [item for chapter in book["chapters"] for one in chapter["checks"] for item in one["governing"]]


def row_text(page: Page, label: str, number: str) -> str:
    """All words of a row and of those that belong to it, from the markup as it stands in the file."""
    row = page.get_by_role("region", name=label, exact=True).locator(f'tr[data-finding="{number}"]')
    after = "xpath=following-sibling::tr"
    text = row.text_content() or ""
    for other in row.locator(after).all():
        if not re.search(r"\b(more|reference)\b", other.get_attribute("class") or ""):
            break
        text += " " + (other.text_content() or "")
    return re.sub(r"\s+", " ", text).lower()


def test_a_verdict_finds_its_rows_and_the_others_are_counted(opened: Opened, book: dict[str, Any]) -> None:
    """Counted from `book.json`: the findings of COA-05 and what stands beside them."""
    page = opened("coating")
    label = FOLDED
    page.locator("details.full > summary").evaluate_all("all => all.forEach(one => one.parentElement.open = true)")
    findings = {item["number"]: item["finding"] for item in check(book, "COA-05")["governing"]}
    mine = numbers(main_rows(page, label))
    assert len(mine) > 10
    tools(page, label).get_by_role("combobox", name="Verdict", exact=True).select_option("pass")
    passed = [number for number in mine if findings[number]["verdict"] == "pass"]
    assert set(passed) <= set(shown(page, label))
    lost = [n for n in mine if findings[n]["verdict"] in EXCEPTIONS and n not in shown(page, label)]
    assert told(tools(page, label), len(lost), len(shown(page, label)), len(mine))


def told(group: Locator, lost: int, found: int, total: int) -> bool:
    said = group.get_by_role("status").inner_text()
    hidden = f". {lost} {'exception or gap is' if lost == 1 else 'exceptions or gaps are'} hidden." if lost else ""
    assert said == f"{found} of {total} rows shown{hidden}"
    return True


def test_a_filter_for_what_passed_says_how_many_exceptions_it_hides(opened: Opened, book: dict[str, Any]) -> None:
    """The plan: every line has its verdict in `book.json`."""
    page = opened("coverage")
    label = "The inspection and test plan"
    verdicts = [line["verdict"] for line in book["plan"]]
    group = tools(page, label)
    group.get_by_role("combobox", name="Verdict", exact=True).select_option("pass")
    bad = sum(verdict in EXCEPTIONS for verdict in verdicts)
    assert bad > 1
    assert told(group, bad, verdicts.count("pass"), len(verdicts))
    group.get_by_role("combobox", name="Verdict", exact=True).select_option("not a plain pass")
    assert told(group, 0, bad, len(verdicts))


@pytest.fixture(scope="module")
def sample_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The synthetic book: one row of its climate log could not be used."""
    folder = tmp_path_factory.mktemp("sample")
    for name, data in contents(sample(), received(), pdf=False)[0].items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def test_rows_that_were_not_used_are_counted_in_a_table_of_the_evidence(chromium: Browser, sample_site: Path) -> None:
    total = len(sample().tables[0].rows)
    assert sum(bool(row.fault) for row in sample().tables[0].rows) == 1
    with watched(chromium, sample_site) as opened:
        page = opened("evidence/coating-climate")
        words_field(page, "Climate log").fill("no row has these words")
        said = tools(page, "Climate log").get_by_role("status")
        assert said.inner_text() == f"0 of {total} rows shown. 1 row that was not used is hidden."
        words_field(page, "Climate log").fill("not used:")
        assert said.inner_text() == f"1 of {total} rows shown"
        assert page.locator("tr.unread:visible").count() == 2, "the row and the reason under it"


def order_by(page: Page, label: str, head: str, times: int = 1) -> str | None:
    region = page.get_by_role("region", name=label, exact=True)
    for _ in range(times):
        region.get_by_role("button", name=head, exact=True).press("Enter")
    return region.locator("thead th", has_text=head).first.get_attribute("aria-sort")


def test_numbers_are_put_in_order_as_numbers_and_rows_stay_together(opened: Opened, book: dict[str, Any]) -> None:
    page = opened("coating")
    label = FOLDED
    page.locator("details.full > summary").evaluate_all("all => all.forEach(one => one.parentElement.open = true)")
    findings = {item["number"]: item for item in check(book, "COA-05")["governing"]}
    before = numbers(main_rows(page, label))
    together = followers(page, label)
    assert order_by(page, label, "Measured ± U") == "ascending"
    after = [findings[number] for number in numbers(main_rows(page, label))]
    measured = [(item["finding"]["measured"], item["value"]) for item in after if item["finding"]["measured"]]
    told = [(quantity["unit"], float(text.split()[0])) for quantity, text in measured]
    units = list(dict.fromkeys(unit for unit, _ in told))
    assert len(told) > 50
    assert len(units) > 1
    assert told == [(unit, value) for unit in units for value in sorted(v for u, v in told if u == unit)]
    assert followers(page, label) == together
    assert order_by(page, label, "Measured ± U") == "descending"
    assert followers(page, label) == together
    assert order_by(page, label, "Measured ± U") is None
    assert numbers(main_rows(page, label)) == before


def followers(page: Page, label: str) -> dict[str, list[str]]:
    """Under each row of a table the rows that belong to it, by their words."""
    found: dict[str, list[str]] = {}
    rows = (
        page.get_by_role("region", name=label, exact=True)
        .locator("tbody:not(.facts tbody) > tr")
        .evaluate_all("rows => rows.map(row => [row.className, row.dataset.finding ?? '', row.textContent])")
    )
    for kind, number, text in rows:
        if re.search(r"\b(more|reference)\b", kind):
            found[list(found)[-1]].append(text)
        elif number:
            found[number] = []
    assert sum(map(len, found.values())) > len(found) / 2
    return found


def test_numbers_of_findings_are_in_natural_order(opened: Opened) -> None:
    page = opened("exceptions")
    label = "Inside the limit without a clear margin"
    assert order_by(page, label, "No.") == "ascending"
    got = numbers(main_rows(page, label))
    assert got == sorted(got, key=lambda n: (n.partition("/")[0], int(n.partition("/")[2])))
    assert got != sorted(got), "as words they would be in another order"


def test_verdicts_are_put_worst_first_and_dates_as_dates(opened: Opened, book: dict[str, Any]) -> None:
    page = opened("coating")
    assert order_by(page, CHAPTER, "Verdict") == "ascending"
    words = main_rows(page, CHAPTER).locator(".outcome .word").all_text_contents()
    assert words[0].startswith("fail")
    severity = {"fail": 0, "conditional fail": 1, "conditional pass": 3, "pass": 4}  # the others between
    placed = [severity.get(word.partition(",")[0], 2) for word in words]
    assert placed == sorted(placed)
    assert len(set(placed)) > 2
    page = opened("instruments")
    assert order_by(page, "Instruments", "Calibrated, due", 2) == "descending"
    dates = page.get_by_role("region", name="Instruments").locator("tbody td:nth-child(4)").all_text_contents()
    stated = [text[:10] for text in dates if re.match(r"\d{4}-", text)]
    assert stated == sorted(stated, reverse=True)
    assert len(set(stated)) > 3


@pytest.mark.parametrize("column", ["image", "orange_peel"])
def test_decimals_after_a_comma_are_put_in_order_as_numbers(opened: Opened, column: str) -> None:
    """A table of the demonstration as received: its hand writes 91,5. What is blank stands last either way."""
    page = opened("evidence/coating-appearance")
    heads = [head.strip() for head in page.locator("table.raw thead th").all_text_contents()]
    place = next(n for n, head in enumerate(heads, 1) if head.startswith(column))
    for way in (False, True):
        page.locator(f"table.raw thead th:nth-child({place})").get_by_role("button").press("Enter")
        cells = page.locator(f"table.raw tbody > tr:not(.more) > :nth-child({place})").all_text_contents()
        filled = [cell for cell in cells if cell.strip()]
        assert 10 < len(filled) < len(cells)
        assert cells[: len(filled)] == filled
        got = [float(cell.replace(",", ".")) for cell in filled]
        assert got == sorted(got, reverse=way)
        assert "," in "".join(filled)


def test_on_a_phone_order_is_chosen_from_a_list_and_no_unseen_button_is_reached(opened: Opened) -> None:
    page = opened("coating", size=PHONE, has_touch=True, is_mobile=True)
    tools(page, CHAPTER).get_by_role("combobox", name="Order", exact=True).select_option(label="No., falling")
    got = numbers(main_rows(page, CHAPTER))
    assert got == sorted(got, key=lambda n: (n.partition("/")[0], int(n.partition("/")[2])), reverse=True)
    assert page.locator("table.findings button.by:enabled").count() == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_the_keyboard_reaches_the_tools_and_is_seen(opened: Opened) -> None:
    page = opened("coating")
    words_field(page, CHAPTER).focus()
    reached = []
    for _ in range(9):
        reached.append(
            page.evaluate("document.activeElement.tagName + ' ' + document.activeElement.textContent.trim()")
        )
        style = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
        assert float(style.removesuffix("px")) >= 2.0
        page.keyboard.press("Tab")
    assert [one.split()[0] for one in reached[:3]] == ["INPUT", "SELECT", "DIV"]
    assert reached[3:8] == [f"BUTTON {name}" for name in ("No.", "What, where", "Measured ± U", "Limit", "Verdict")]


def test_print_shows_every_row_whatever_is_filtered(opened: Opened) -> None:
    page = opened("coating")
    words_field(page, CHAPTER).fill("no row has these words")
    assert shown(page, CHAPTER) == []
    page.emulate_media(media="print")
    assert len(shown(page, CHAPTER)) == main_rows(page, CHAPTER).count() > 5
    assert page.locator(".tools:visible, .reading-out:visible, .needle:visible").count() == 0
    folded = page.locator("details.full:not([open]) table.findings").first
    assert folded.is_visible()
    assert (folded.bounding_box() or {"height": 0})["height"] > 20
