"""The demonstration book says the same in JSON, on the pages and in the PDF; and what it says follows from the rows.

Three findings are worked out anew with the csv module and independent programs.
"""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import posixpath
import re
from collections import Counter
from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from statistics import fmean, stdev
from typing import Any
from urllib.parse import unquote

import numpy as np
import psychrolib
import pypdfium2
import pytest
from colour.difference import delta_E_CIE2000

from buildbook.chapters import CHAPTERS
from buildbook.core.matter import State
from buildbook.render.banned_words import banned
from tests.end_to_end.builds import Build
from tests.end_to_end.spoiling import HULL, Sheet, tables
from tests.render.site_reader import Read, read_page, squeezed

pytestmark = pytest.mark.slow  # one whole build of the demonstration
psychrolib.SetUnitSystem(psychrolib.SI)
LABEL = "Demonstration: the yacht, her builder and every number in this book are invented."
DIGITS = 12  # of the digest, at every foot


@pytest.fixture(scope="module")
def book(build: Build) -> dict[str, Any]:
    content: dict[str, Any] = json.loads((build.out / "book.json").read_bytes())
    return content


@pytest.fixture(scope="module")
def numbered(book: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Every finding of book.json by its number."""
    checks = [check for chapter in book["chapters"] for check in chapter["checks"]]
    return {item["number"]: item for check in checks for item in (*check["governing"], *check["references"])}


@pytest.fixture(scope="module")
def pages(build: Build) -> Mapping[str, Read]:
    paths = sorted(build.out.rglob("*.html"))
    return {path.relative_to(build.out).as_posix(): read_page(path.read_text(encoding="utf-8")) for path in paths}


@pytest.fixture(scope="module")
def printed(build: Build) -> list[str]:
    (path,) = build.out.glob("*-book.pdf")
    return texts_of_pages(path)


def texts_of_pages(path: Path) -> list[str]:
    """The text of every page of a PDF, read with another program than the one that wrote it."""
    document = pypdfium2.PdfDocument(path)
    texts = []
    for page in document:
        text = page.get_textpage()
        texts.append(text.get_text_range())
        text.close()
        page.close()
    document.close()
    return texts


@pytest.fixture(scope="module")
def digest(build: Build) -> str:
    return hashlib.sha256((build.out / "SHA256SUMS").read_bytes()).hexdigest()


def test_there_is_something_to_compare(numbered: Mapping[str, Any], pages: Mapping[str, Read]) -> None:
    assert len(numbered) > 500
    verdicts = {item["finding"]["verdict"] for item in numbered.values()}
    assert verdicts >= {"pass", "conditional pass", "fail", "inconclusive", "not measured", "information"}
    assert len(pages) > 20


def test_every_finding_stands_on_the_pages_with_the_same_texts(
    numbered: Mapping[str, Any], pages: Mapping[str, Read]
) -> None:
    shown = [finding for page in pages.values() for finding in page.findings]
    assert {finding.number for finding in shown} == set(numbered)
    for finding in shown:
        item = numbered[finding.number]
        assert squeezed(finding.value) == squeezed(item["value"]), finding.number
        assert squeezed(finding.limit) == squeezed(item["limit"]), finding.number
        assert squeezed(finding.verdict) == squeezed(item["verdict"]), finding.number


def test_chapter_pages_show_each_of_their_findings_once(book: dict[str, Any], pages: Mapping[str, Read]) -> None:
    """Beside the exceptions at the head of the page, every finding stands once under its own anchor."""
    for chapter in book["chapters"]:
        page = pages[f"{chapter['key']}.html"]
        anchored = [
            attributes["data-finding"]
            for _, attributes in page.tags
            if "data-finding" in attributes and "id" in attributes
        ]
        wanted = [item["number"] for check in chapter["checks"] for item in (*check["governing"], *check["references"])]
        assert Counter(anchored) == Counter(wanted)


def test_exceptions_page_lists_exactly_the_exceptions(book: dict[str, Any], pages: Mapping[str, Read]) -> None:
    """Each once; beside them only what a report is about or names as the result after the work."""
    listed = Counter(finding.number for finding in pages["exceptions.html"].findings)
    wanted = {item["number"] for item in book["exceptions"]}
    assert set(listed.values()) == {1}
    assert wanted <= set(listed)
    assert set(listed) - wanted <= {number for report in book["reports"] for number in report["findings"]}
    assert len(listed) > 10


def test_counts_are_those_of_the_findings(book: dict[str, Any], numbered: Mapping[str, Any]) -> None:
    governing = [item for item in numbered.values() if item["finding"]["key"]["role"] == "governing"]
    counts = Counter(item["finding"]["verdict"] for item in governing)
    assert {count["verdict"]: count["number"] for count in book["counts"]} == dict(counts)
    assert book["summary"].startswith(f"{len(governing)} findings")


def test_matters_are_told_on_the_first_page_and_the_first_spread(
    book: dict[str, Any], pages: Mapping[str, Read], printed: list[str]
) -> None:
    """In print the first spread leaves the work that was done, and further values of what is past, to the reports."""
    spread = _plain("\n".join(_without_feet(page) for page in printed[1:5]))
    first = squeezed(pages["index.html"].text)
    assert squeezed(book["in_short"]) in first
    assert _plain(book["in_short"]) in spread
    assert len(book["matters"]) > 5
    for matter in book["matters"]:
        for words in (matter["what"], matter["became"], *matter["also"]):
            assert squeezed(words) in first
        beside = matter["also"] if State(matter["state"]).stands else matter["findings"]
        for words in (matter["what"], matter["in_brief"] or matter["became"], *beside):
            assert _plain(words) in spread


def test_every_finding_stands_in_the_pdf_with_the_same_texts(numbered: Mapping[str, Any], printed: list[str]) -> None:
    """Line ends, and hyphens at them, are not compared: the words between a number and the next number are.

    Of plain passes of the register print gives the number alone, in runs, under a head that says that all pass.
    """
    text = _plain(_ended("\n".join(_without_feet(page) for page in printed)))
    told = _passages(text, {_plain(number): _plain(item["value"]) for number, item in numbered.items()})
    counted = _counted(text)
    assert set(told) | counted == {_plain(number) for number in numbered}
    assert len(counted) > 500
    its = {number: item for number, item in numbered.items() if _plain(number) in counted}
    assert {item["verdict"] for item in its.values()} == {"pass"}
    assert {number.partition("-")[0] for number in its} == {"REG"}
    wrong = [
        number
        for number, item in numbered.items()
        if number not in its and not any(_in_order(passage, item) for passage in told[_plain(number)])
    ]
    assert wrong == []


IDS = "|".join(sorted({check.id[:3] for chapter in CHAPTERS for check in chapter.checks}))
NUMBER = rf"(?:{IDS})-?\d\d/\d+(?=\x00)"


RUN = rf"({NUMBER})\x00(?:to({NUMBER})\x00)?"


def _counted(text: str) -> set[str]:
    """The numbers that stand in runs, `REG-02/7 to REG-02/53, REG-02/55`, behind `all pass.` or a note beside them."""
    numbers: set[str] = set()
    for block in re.finditer(rf"pass(?:,toberead[a-z]+[0-9,]+)?\.((?:{RUN},?)+)\.", text):
        for first, last in re.findall(RUN, block[1]):
            check, _, start = first.partition("/")
            numbers |= {f"{check}/{n}" for n in range(int(start), int((last or first).partition("/")[2]) + 1)}
    return numbers


def _passages(text: str, values: Mapping[str, str]) -> dict[str, list[str]]:
    """What stands behind each number, up to the next one, wherever the number stands.

    Passes of one kind stand under one head, "…, at least 3 K: all pass", up to the next head or the end of the
    findings of a check; the head is put behind what stands there. The number of a reference follows that of the finding
    beside which it stands, and what follows belongs to both.
    """
    told: dict[str, list[str]] = {}
    stands = [(found.start(), found.group()) for found in re.finditer(NUMBER, text)]
    head, before = "", ""
    for (start, number), (end, _) in zip(stands, [*stands[1:], (len(text), "")], strict=True):
        passage = text[start:end]
        if passage == f"{number}\x00,":
            before = number
            continue
        here, found, _ = passage.partition("allpass")
        told.setdefault(number, []).extend((passage, f"{here}{head}"))
        if before:
            told.setdefault(before, []).extend((passage, f"{here}{head}"))
        if found:
            head = f"{here[here.find(values[number]) + len(values[number]) :]}pass"
        elif "Ifitismissed" in passage:
            head = ""
        before = ""
    return told


def _ended(text: str) -> str:
    """Each number of a finding with a mark behind it, so that no date that follows is read as part of it."""
    return re.sub(rf"((?:{IDS})[-\ufffe\u00ad]?\s?\d\d/\d+)", "\\1\x00", text)


def _in_order(passage: str, item: Mapping[str, Any]) -> bool:
    at = 0
    for name in ("value", "limit", "verdict"):
        wanted = _plain(item[name])
        at = passage.find(wanted, at)
        if at < 0:
            return False
        at += len(wanted)
    return True


def _plain(text: str) -> str:
    """Text without spaces, line ends and hyphens (one at a line end is read back as U+FFFE)."""
    return re.sub(r"[\s\u00a0\u00ad\ufffe\u200b-]+", "", text)


def _without_feet(page: str) -> str:
    """A page without its running foot: a row may go on behind it, on the next page."""
    return re.sub(r"Hull XX-EXY00007H526[^\n]*\n(?:[^\n]*\n)?Digest [0-9a-f]{12}[^\n]*", "", page)


def test_number_of_findings_is_the_same_everywhere(
    numbered: Mapping[str, Any], pages: Mapping[str, Read], printed: list[str]
) -> None:
    on_pages = {finding.number for page in pages.values() for finding in page.findings}
    text = _plain(_ended("\n".join(_without_feet(page) for page in printed)))
    in_print = set(re.findall(NUMBER, text)) | _counted(text)
    assert len(numbered) == len(on_pages) == len(in_print)


def test_digest_in_every_foot_is_that_of_the_list(
    build: Build, pages: Mapping[str, Read], printed: list[str], digest: str
) -> None:
    assert [name for name, page in pages.items() if digest[:DIGITS] not in page.text] == []
    assert digest in pages["verify.html"].text
    assert digest in _plain(printed[0])
    assert [number for number, text in enumerate(printed[1:], start=2) if digest[:DIGITS] not in _plain(text)] == []
    assert digest in build.said


def test_both_lists_name_every_file_with_its_sum(build: Build) -> None:
    files = build.files()
    named: dict[str, str] = {}
    for list_name in ("SHA256SUMS", "SHA256SUMS.release"):
        for line in files[list_name].decode().splitlines():
            if line.startswith("#"):  # what is withheld, which `sha256sum -c` passes over
                continue
            total, _, name = line.partition("  ")
            assert re.fullmatch(r"[0-9a-f]{64}", total)
            assert name not in named
            named[name] = total
    assert set(named) == set(files) - {"SHA256SUMS.release"}
    assert [name for name, total in named.items() if hashlib.sha256(files[name]).hexdigest() != total] == []


def test_records_are_handed_over_byte_for_byte(build: Build) -> None:
    received = build.out / "evidence" / "received"
    names = [path.relative_to(HULL).as_posix() for path in HULL.rglob("*") if path.suffix == ".toml"]
    names += tables(HULL)
    names.remove("coating/batches.csv")  # a column of it is withheld
    assert len(names) > 20
    assert [name for name in names if (received / name).read_bytes() != (HULL / name).read_bytes()] == []


def test_every_link_leads_somewhere_inside_the_book(build: Build, pages: Mapping[str, Read]) -> None:
    files = set(build.files())
    links = 0
    for name, page in pages.items():
        for tag, address in page.addresses:
            path, _, anchor = unquote(address).partition("#")
            assert not re.match(r"[a-z]+:|/", path), f"{name}: <{tag}> leads out: {address}"
            target = posixpath.normpath(posixpath.join(posixpath.dirname(name), path)) if path else name
            assert target in files, f"{name}: {address}"
            if anchor and target in pages:
                assert anchor in pages[target].ids, f"{name}: {address}"
            links += 1
    assert links > 1000


def test_every_page_says_that_the_data_are_invented(pages: Mapping[str, Read], printed: list[str]) -> None:
    assert [name for name, page in pages.items() if LABEL not in squeezed(page.text)] == []
    assert [number for number, text in enumerate(printed, start=1) if _plain(LABEL) not in _plain(text)] == []


STRIP = "How to read a strip"


def by_hand(value: float, expanded: float, least: float) -> str:
    """The verdict of a reading against "at least", with the whole uncertainty as guard band (ILAC-G8:09/2019)."""
    if value >= least:
        return "pass" if value - expanded >= least else "conditional pass"
    return "conditional fail" if value + expanded >= least else "fail"


def test_the_strip_is_explained_once_with_four_readings_worked_out(build: Build, printed: list[str]) -> None:
    """Once on the site and once on paper, the same; each verdict follows from the numbers beside it."""
    sites = [path.read_text(encoding="utf-8") for path in sorted(build.out.rglob("*.html"))]
    (page,) = [page for page in sites if f">{STRIP}</h2>" in page]
    assert page.count(f">{STRIP}</h2>") == 1
    assert sum(page.count('<table class="examples">') for page in sites) == 1
    told = page.partition('<table class="examples">')[2].partition("</table>")[0]
    rows = [squeezed(re.sub(r"<svg.*?</svg>|<[^>]*>", " ", row, flags=re.DOTALL)) for row in told.split("<tr>")[2:]]
    verdicts = []
    for row in rows:
        found = re.fullmatch(r"([\d.]+) ± ([\d.]+) % at least ([\d.]+) % ([a-z ]+)", row)
        assert found is not None, row
        verdicts.append(found[4])
        assert found[4] == by_hand(*map(float, found.groups()[:3])), row
    assert verdicts == ["pass", "conditional pass", "conditional fail", "fail"]
    # A line of the contents ends with its page.
    (paper,) = [text for text in printed if STRIP in [line.strip() for line in text.splitlines()]]
    assert sum(line.strip() == STRIP for line in paper.splitlines()) == 1
    assert [row for row in rows if _plain(row) not in _plain(paper)] == []


def test_nothing_printed_claims_what_no_reading_shows(build: Build, printed: list[str]) -> None:
    """Book and listing sheet; words run over the ends of lines, with the hyphen or without."""
    (path,) = build.out.glob("*-listing.pdf")
    sheet = texts_of_pages(path)
    assert (len(printed) > 100, len(sheet)) == (True, 2)
    texts = [squeezed(re.sub(r"[\ufffe\u00ad]\s*", "", text)) for text in (*printed, *sheet)]
    assert [(number, it.word) for number, text in enumerate(texts, 1) for it in banned(text)] == []
    assert [it.word for it in banned(squeezed(f"{sheet[0]} A world\r\nclass hull."))] == ["world class"]


# --- three findings worked out anew -------------------------------------------------------------------------------


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a table by head without unit, decimal points."""
    sheet = Sheet.read(HULL / name)
    return [dict(zip(sheet.names, (cell.replace(sheet.mark, ".") for cell in row), strict=True)) for row in sheet.body]


def instrument(name: str, quantity: str) -> tuple[float, float]:
    """Standard uncertainty of certificate and resolution together, U / k and d / sqrt(12) (JCGM 100:2008, 4.3.3 and
    F.2.2.1; from memory), and the coverage factor."""
    (row,) = [row for row in rows_of("instruments.csv") if (row["instrument"], row["quantity"]) == (name, quantity)]
    k = float(row["coverage"])
    return math.hypot(float(row["uncertainty"]) / k, float(row["resolution"]) / math.sqrt(12)), k


def found(numbered: Mapping[str, Any], **key: object) -> dict[str, Any]:
    (item,) = [
        item
        for item in numbered.values()
        if item["finding"]["key"] == {"condition": "", "attempt": 1, "role": "governing", **key}
    ]
    result: dict[str, Any] = item["finding"]
    return result


def test_dew_point_margin_of_one_coat_by_another_program(numbered: Mapping[str, Any]) -> None:
    """psychrolib has its own vapour pressure (ASHRAE, Hyland and Wexler 1983); dew points differ by at most 0.04 K."""
    (coat,) = [row for row in rows_of("coating/coats.csv") if row["coat"] == "Z3-2"]
    (product,) = [row for row in rows_of("coating/products.csv") if row["product"] == coat["product"]]
    start = datetime.fromisoformat(coat["started"])
    end = datetime.fromisoformat(coat["finished"]) + timedelta(hours=float(product["first_cure"]))
    during = [
        row
        for row in rows_of("coating/climate.csv")
        if row["zone"] == "Z3" and start <= datetime.fromisoformat(row["at"]) <= end
    ]

    def margin(air: float, humidity: float, surface: float) -> float:
        return surface - float(psychrolib.GetTDewPointFromRelHum(air, humidity / 100.0))

    readings = [tuple(float(row[name]) for name in ("air", "humidity", "surface")) for row in during]
    margins = [margin(*reading) for reading in readings]
    smallest = min(margins)
    finding = found(numbered, check="COA-04", quantity="dew-point margin", place="Z3", condition="Z3-2")
    assert finding["measured"]["value"] == pytest.approx(smallest, abs=0.04)

    reading, logger, probe = readings[margins.index(smallest)], during[0]["instrument"], during[0]["surface_instrument"]
    standard = (
        instrument(logger, "air temperature")[0],
        instrument(logger, "relative humidity")[0],
        instrument(probe, "surface temperature")[0],
    )
    # The sensitivities as differences over one hundredth of a unit.
    steps = [[value + 0.01 * (at == moved) for at, value in enumerate(reading)] for moved in range(3)]
    each = [(margin(*step) - smallest) / 0.01 * u for step, u in zip(steps, standard, strict=True)]
    assert finding["measured"]["expanded"] == pytest.approx(2.0 * math.hypot(*each), rel=0.02)
    assert finding["limit"]["low"] == 3.0
    assert 0 < smallest - 3.0 < finding["measured"]["expanded"]
    assert finding["verdict"] == "conditional pass"
    assert {place["line"] for place in finding["at"] if place["file"] == "coating/climate.csv"} == _lines(during)


def _lines(rows: list[dict[str, str]]) -> set[int]:
    """The lines of climate rows, counted in the text of the file itself."""
    lines = (HULL / "coating" / "climate.csv").read_text(encoding="utf-8").splitlines()
    starts = {f"{row['zone']},{row['at']}," for row in rows}
    return {number for number, line in enumerate(lines, start=1) if any(line.startswith(start) for start in starts)}


def test_film_of_one_zone_from_its_rows(numbered: Mapping[str, Any]) -> None:
    from scipy.stats import t

    rows = [row for row in rows_of("coating/film_thickness.csv") if (row["zone"], row["attempt"]) == ("Z3", "1")]
    every = [float(row["thickness"]) for row in rows]
    regular = [float(row["thickness"]) for row in rows if row["extra"] == "no"]
    (gauge,) = {row["instrument"] for row in rows}
    standard, _ = instrument(gauge, "film thickness")
    assert len(regular) < len(every)  # the zone has readings taken on purpose at a thin edge

    mean = found(numbered, check="COA-08", quantity="mean film thickness", place="Z3")
    assert mean["measured"]["value"] == pytest.approx(fmean(regular), rel=1e-12)
    scatter = stdev(regular) / math.sqrt(len(regular))
    both = math.hypot(standard, scatter)
    degrees = math.floor(both**4 / (scatter**4 / (len(regular) - 1)))  # Welch and Satterthwaite, JCGM 100:2008, G.2b
    assert mean["measured"]["expanded"] == pytest.approx(t.ppf(0.97725, degrees) * both, rel=1e-9)

    smallest = found(numbered, check="COA-08", quantity="smallest film thickness", place="Z3")
    assert smallest["measured"]["value"] == min(every)
    assert smallest["measured"]["expanded"] == pytest.approx(2.0 * standard, rel=1e-9)
    # ISO 19840: no reading below 80 % of the nominal film (second-hand); hull.toml gives 280 um for this zone.
    assert smallest["limit"]["low"] == pytest.approx(0.8 * 280.0, rel=1e-12)
    assert min(every) + 2.0 * standard < 0.8 * 280.0
    assert smallest["verdict"] == "fail"


def test_colour_of_one_zone_by_another_program(numbered: Mapping[str, Any]) -> None:
    rows = [row for row in rows_of("coating/colour.csv") if row["zone"] == "Z7"]
    labs = {
        role: np.array(
            [
                fmean(float(row[name]) for row in rows if row["role"] == role)
                for name in ("lightness", "red_green", "yellow_blue")
            ]
        )
        for role in ("reference", "sample")
    }
    expected = float(delta_E_CIE2000(labs["reference"], labs["sample"]))
    finding = found(numbered, check="COA-13", quantity="colour difference", place="Z7")
    assert finding["measured"]["value"] == pytest.approx(expected, abs=1e-6)
    assert 0.5 < expected < 1.0
    assert {place["line"] for place in finding["at"]} == _lines_of("coating/colour.csv", "Z7")


def _lines_of(name: str, zone: str) -> set[int]:
    lines = (HULL / Path(name)).read_text(encoding="utf-8").splitlines()
    return {n for n, line in enumerate(lines, start=1) if next(csv.reader(io.StringIO(line)))[:1] == [zone]}
