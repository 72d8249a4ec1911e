"""The words of the finished book, read from what is written: banned words, length of sentences, words explained."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.chapters import CHAPTERS
from buildbook.cli import app
from buildbook.core.book import Book
from buildbook.newfolder import lay_out
from buildbook.render.banned_words import banned
from buildbook.render.explained import words
from buildbook.render.links import Links
from buildbook.render.package import contents
from buildbook.render.templates import environment
from tests.demonstration import demonstration
from tests.demonstration import site as site_of
from tests.page_texts import Block, sentences_of, texts_of
from tests.sample_book import book as sample
from tests.sample_book import received as sample_received
from tests.test_prose import length

ROOT = Path(__file__).parent.parent
HULL = ROOT / "demo_build" / "hull"
UNDER = 20  # words in a sentence of an overview page
OVERVIEW = ("index", "exceptions", "coverage", "verify", "how-judged", "glossary")
MOST_NOTES = 30  # words explained on one page: more would drown it
OWN = 4  # words: a cell of the yard that is shorter is no sentence of its own


@dataclass(frozen=True, slots=True)
class Made:
    """A book and every page of its site."""

    book: Book
    pages: Mapping[str, str]


def _made(book: Book, files: Mapping[str, bytes]) -> Made:
    written, *_ = contents(book, files, pdf=False)
    return Made(book, {name: data.decode() for name, data in written.items() if name.endswith(".html")})


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Made:
    out = site_of(tmp_path_factory)
    pages = {path.relative_to(out).as_posix(): path.read_text(encoding="utf-8") for path in out.rglob("*.html")}
    return Made(demonstration().book, pages)


@pytest.fixture(scope="module")
def site(demo: Made) -> dict[str, str]:
    """The pages of the demonstration but for the tables as received, which hold only the yard's words."""
    return {name: page for name, page in demo.pages.items() if not name.startswith("evidence/")}


# --- banned words -------------------------------------------------------------------------------------------------


def claims_of(pages: Mapping[str, str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, page in pages.items():
        texts = texts_of(page)
        words = [it.word for text in (*(block.text for block in texts.blocks), *texts.spoken) for it in banned(text)]
        if words:
            found[name] = words
    return found


def test_no_page_of_the_demonstration_claims_what_no_reading_shows(demo: Made) -> None:
    assert len(demo.pages) > 50
    assert claims_of(demo.pages) == {}


def test_no_page_of_the_synthetic_book_claims_it_either() -> None:
    assert claims_of(_made(sample(), sample_received()).pages) == {}


def test_a_claim_is_found_in_text_in_an_alternative_text_and_in_a_drawing() -> None:
    page = '<main><p>A <b>world</b> class hull.</p><img alt="a flawless hull"><svg><title>Proven</title></svg></main>'
    assert claims_of({"x": page}) == {"x": ["world class", "Proven", "flawless"]}


def test_no_template_and_no_style_sheet_brings_one() -> None:
    """What only the printed book says, and branches that neither book takes."""
    folder = ROOT / "templates"
    for path in (*folder.glob("p*/*.j2"), *folder.glob("site/*.j2")):
        source = environment().lex(path.read_text(encoding="utf-8"))
        said = "".join(text if kind in ("data", "string") else " " for _, kind, text in source)
        assert banned(re.sub(r"\s+", " ", said)) == (), path


def test_no_command_prints_one(tmp_path: Path) -> None:
    run = CliRunner()
    ids = ["ALL", *(check.id for chapter in CHAPTERS for check in chapter.checks)]
    said = [run.invoke(app, ["explain", one]).output for one in ids]
    said += [run.invoke(app, [*words, "--help"]).output for words in ([], ["new"], ["check"], ["build"], ["explain"])]
    assert all(said)
    assert [banned(text) for text in said if banned(text)] == []
    lay_out(tmp_path / "hull")
    files = [path for path in (tmp_path / "hull").rglob("*") if path.is_file()]
    assert len(files) > 20
    for path in files:
        assert banned(path.read_text(encoding="utf-8")) == (), path


def test_the_check_of_the_demonstration_prints_none() -> None:
    for form in ((), ("--all",), ("--format", "json")):
        output = CliRunner().invoke(app, ["check", str(HULL), *form]).output
        assert "NCR-04" in output
        assert banned(output) == ()


# --- length of sentences ------------------------------------------------------------------------------------------


def yards_words(book: Book) -> re.Pattern[str]:
    """What the yard wrote into its tables and its specification, which this book prints as it is."""
    cells = {cell.strip().removesuffix(".") for table in book.tables for row in table.rows for cell in row.cells}
    hull = tomllib.loads((HULL / "hull.toml").read_text(encoding="utf-8"))
    cells |= {text.removesuffix(".") for text in _texts(hull)}
    ours = {item.finding.key.quantity for ch in book.chapters for check in ch.checks for item in check.governing}
    own = sorted((cell for cell in cells - ours if len(cell.split()) >= OWN), key=len, reverse=True)
    return re.compile("|".join(map(re.escape, own)), re.IGNORECASE)


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for it in value.values() for text in _texts(it))
    elif isinstance(value, list):
        yield from (text for it in value for text in _texts(it))


def spoken_sentences(block: Block, own: re.Pattern[str]) -> list[str]:
    """The sentences of a block without the yard's own words; names of findings and items of a cell by themselves.

    A matter begins with the name of its finding (quantity, place, run) and a colon: that is a label, as in the first
    column of a table. A cell of a table may list several things with semicolons.
    """
    sentences = sentences_of(own.sub("As the yard wrote", block.text))
    if block.inside("matters") and sentences:
        label, _, rest = sentences[0].partition(": ")
        sentences = [label, *([rest] if rest else []), *sentences[1:]]
    if block.inside("td"):
        sentences = [part for sentence in sentences for part in sentence.split("; ")]
    return sentences


def overview(name: str, page: str) -> list[Block]:
    """The blocks of an overview page, or of the opening of a chapter.

    Left out: drawings; the row of places, whose last cell is a list of links by verdict and no sentence.
    """
    blocks = [block for block in texts_of(page).blocks if block.inside("main") and not block.inside("svg", "places")]
    if name in OVERVIEW:
        return blocks
    return blocks[: next((n for n, block in enumerate(blocks) if block.inside("check")), len(blocks))]


def too_long(name: str, page: str, own: re.Pattern[str]) -> list[str]:
    return [
        sentence
        for block in overview(name, page)
        for sentence in spoken_sentences(block, own)
        if length(sentence) >= UNDER
    ]


def test_sentences_of_the_overview_pages_have_fewer_than_twenty_words(demo: Made, site: Mapping[str, str]) -> None:
    own = yards_words(demo.book)
    names = [*OVERVIEW, *(chapter.key for chapter in CHAPTERS)]
    assert {name: long for name in names if (long := too_long(name, site[f"{name}.html"], own))} == {}


def test_a_long_sentence_is_caught_wherever_it_stands() -> None:
    long = f"It {' '.join(['goes on and on'] * 5)}."
    page = f'<main><p>{long}</p><ul class="matters"><li>Pitch: {long}</li></ul><svg><text>{long}</text></svg></main>'
    never = re.compile("(?!)")
    assert len(too_long("index", page, never)) == 2
    opening = f'<main><p>Short.</p><section class="check"><p>{long}</p></section></main>'
    assert too_long("coating", opening, never) == []
    assert too_long("coating", opening.replace("Short.", long), never) == [long]
    assert too_long("index", f"<main><p>As the yard wrote: {long}</p></main>", re.compile(re.escape(long))) == []


# --- words explained ----------------------------------------------------------------------------------------------

SHORT = 15  # words of an explanation
TERM = re.compile(r'<a class="term" href="([^"]*)" aria-describedby="([^"]*)">([^<]*)</a>')


def test_each_listed_word_has_a_short_meaning_and_forms_of_its_own() -> None:
    listed = tomllib.loads((ROOT / "templates/words/explained.toml").read_text(encoding="utf-8"))
    known = {word.term: word for word in words(Links("", False, {}, {}, {}, frozenset(), {}))}
    assert set(known) == set(listed["words"])
    assert {term for told in listed["told"].values() for term in told} <= set(known)
    assert {word.meaning for word in known.values() if not 0 < length(word.meaning) <= SHORT} == set()
    forms = [form.lower() for its in listed["words"].values() for form in its]
    assert sorted(forms) == sorted(set(forms))


def test_a_question_is_asked_in_the_same_words_by_the_check_and_by_its_page() -> None:
    for chapter in CHAPTERS:
        for check in chapter.checks:
            page = ROOT / "templates/chapters" / chapter.key / f"{check.id}.md"
            assert page.read_text(encoding="utf-8").splitlines()[0] == f"# {check.question}"


def test_each_word_is_explained_once_beside_its_first_use(site: Mapping[str, str]) -> None:
    glossary = site["glossary.html"]
    numbers = {}
    for name, page in site.items():
        links = TERM.findall(page)
        assert len({described for _, described, _ in links}) == len(links), name
        for address, described, _ in links:
            file, _, entry = address.partition("#")
            assert file == "glossary.html"
            assert f'id="{entry}"' in glossary
            assert page.count(f'<p id="{described}">') == 1
            after = page.index(f'aria-describedby="{described}"')
            assert 0 < page.index(f'<p id="{described}">') - after < 4000, (name, described)
        numbers[name] = len(links)
    assert all(numbers[f"{chapter.key}.html"] >= 3 for chapter in CHAPTERS)
    assert max(numbers.values()) <= MOST_NOTES, numbers
    assert numbers["glossary.html"] == 0


def test_no_word_is_linked_in_a_heading_a_table_a_drawing_or_another_link(site: Mapping[str, str]) -> None:
    for name, page in site.items():
        for block in texts_of(page).blocks:
            if block.inside("term"):
                assert not block.inside("h1", "h2", "h3", "h4", "table", "svg", "code", "figure"), (name, block)
        opened = re.findall(r"<a\b|</a>", page)
        assert all(one != other for one, other in pairwise(opened)), name


# Pages whose prose uses words of the list without explaining them, with the reason.
UNEXPLAINED = {
    "glossary": "it explains them all",
    "XX-EXY00007H526-listing": "one file that is sent alone, without the glossary that a link would lead to",
}


def not_explained(page: str, told: Iterable[str]) -> tuple[dict[str, str], int]:
    """Words of the list whose first use in the prose of a page is no link, with that use; how many were looked at.

    Prose is every paragraph and every item of a list. Left out: what stands beside the text, drawings and tables; lists
    of matters, whose lines begin with the names of findings, as rows of a table do; and the working of findings.
    """
    listed = tomllib.loads((ROOT / "templates/words/explained.toml").read_text(encoding="utf-8"))["words"]
    page = re.sub(r'<ul class="matters.*?</ul>|<ol class="first-lines.*?</ol>', "", page, flags=re.DOTALL)
    page = re.sub(r"<(aside|figure|nav|table|svg|details)\b.*?</\1>", "", page, flags=re.DOTALL)
    page = re.sub(r'<div class="meanings".*?</div>', "", page, flags=re.DOTALL)
    prose = re.findall(r"<(?:p|li)\b[^>]*>(.*?)</(?:p|li)>", page, re.DOTALL)
    found, looked_at = {}, 0
    for term in listed.keys() - set(told):
        form = re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, listed[term]))})(?![\w-])", re.IGNORECASE)
        first = next((text for text in prose if form.search(re.sub("<[^>]*>", "", text))), None)
        looked_at += first is not None
        if first is not None and not any(form.fullmatch(words) for *_, words in TERM.findall(first)):
            found[term] = re.sub("<[^>]*>", "", first)[:80]
    return found, looked_at


def test_each_word_is_explained_in_the_first_prose_of_a_page_that_uses_it(site: Mapping[str, str]) -> None:
    """Looked for again, without the program, on every page of the site."""
    listed = tomllib.loads((ROOT / "templates/words/explained.toml").read_text(encoding="utf-8"))
    names = {name.removesuffix(".html") for name in site}
    assert set(UNEXPLAINED) <= names
    results = {name: not_explained(site[f"{name}.html"], listed["told"].get(name, ())) for name in names}
    assert {name: found for name, (found, _) in results.items() if found and name not in UNEXPLAINED} == {}
    assert sum(count for _, count in results.values()) > 80


def test_a_word_that_is_never_explained_is_found() -> None:
    told = '<p>A <a class="term" href="glossary.html#x" aria-describedby="y">void</a> is here.</p><p>Void.</p>'
    item = '<li class="a">The dew point.</li>'
    assert not_explained(f"<main>{told}{item}</main>", ()) == ({"dew point": "The dew point."}, 2)
    assert not_explained(f"<main><p>Voids.</p>{told}</main>", ()) == ({"void": "Voids."}, 1)
    assert not_explained("<main><p>Voids.</p></main>", ["void"]) == ({}, 0)
