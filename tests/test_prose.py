"""The words of the book: headings, length, plain language, banned words, and a source behind each figure."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from markdown_it.token import Token

from buildbook.core.source import Standing
from buildbook.render.banned_words import banned

ROOT = Path(__file__).parent.parent
TEMPLATES = ROOT / "templates"
CHECK_PAGES = sorted(TEMPLATES.glob("chapters/*/[A-Z][A-Z][A-Z]-[0-9][0-9].md"))
CHAPTER_PAGES = sorted(TEMPLATES.glob("chapters/*/chapter.md"))
WORDS_PAGES = sorted(TEMPLATES.glob("words/*.md"))
ALL_PAGES = [*CHECK_PAGES, *CHAPTER_PAGES, *WORDS_PAGES]

CHECK_HEADINGS = [
    "Why it matters",
    "How it was measured",
    "The limit and who set it",
    "If it is missed",
    "What this does not show",
]
CHAPTER_HEADINGS = ["The question", "What this means aboard", "What this chapter does not show"]

# The bodies whose documents are named by letters; the glossary says who they are.
NAMES_OF_BODIES = {"ISO", "ASTM", "IMO", "SSPC", "NACE", "ILAC", "JCGM", "CFR", "ICOMIA", "CIE", "IEC", "SOLAS"}
PLAIN_CAPITALS = {
    "NCR",  # numbers of reports begin with it; the glossary tells it
    "US",
    "PA",
    "GU",
    "XX",
    "II",
    "III",
}  # country, part of SSPC-PA 2, unit of gloss, country code of the demonstration, classes

DOCUMENT = re.compile(r"\b(?:ISO(?:/CIE)? \d+(?:-\d+)*|ASTM [A-Z]\d+|\d+ CFR \d+|JCGM \d+|NACE SP\d+|SSPC-PA \d)")

MERGING = re.compile(r"^(?:<{7}|\|{7}|>{7})", re.MULTILINE)
TEXTS = {".md", ".j2", ".toml", ".css", ".js", ".csv", ".py", ".html", ".json"}

LONGEST_OVERVIEW, LONGEST_CHAPTER = 20, 28  # words in a sentence
MEAN_OVERVIEW, MEAN_CHAPTER = 15, 15


def name(page: Path) -> str:
    return str(page.relative_to(TEMPLATES))


def parse(text: str) -> tuple[list[Token], dict[str, dict[str, dict[str, str]]]]:
    """Tokens and link definitions, read as the site and the PDF read them: CommonMark with tables, raw HTML off."""
    env: dict[str, dict[str, dict[str, str]]] = {}
    return MarkdownIt("commonmark", {"html": False}).enable("table").parse(text, env), env


def headings(text: str) -> list[tuple[str, str]]:
    tokens, _ = parse(text)
    return [(token.tag, tokens[i + 1].content) for i, token in enumerate(tokens) if token.type == "heading_open"]


def blocks(text: str) -> list[str]:
    """The paragraphs and list items as plain text, without headings and tables."""
    found, inside = [], ""
    for token in parse(text)[0]:
        if token.type in ("table_open", "heading_open"):
            inside = token.type
        elif token.type in ("table_close", "heading_close"):
            inside = ""
        elif token.type == "inline" and not inside:
            parts = [" " if child.type == "softbreak" else child.content for child in token.children or ()]
            found.append("".join(parts).strip())
    return found


def sentences(text: str) -> list[str]:
    return [part for block in blocks(text) for part in re.split(r"(?<=[.!?])\s+(?=[A-Z0-9\"])", block) if part]


def length(sentence: str) -> int:
    return len([word for word in sentence.split() if re.search(r"\w", word)])


def cited(text: str) -> list[str]:
    """The keys in the page's link definition `[sources]: # "KEY, KEY"`, which prints nothing."""
    definition = parse(text)[1].get("references", {}).get("SOURCES")
    return [key.strip() for key in definition["title"].split(",")] if definition else []


def known_sources() -> dict[str, dict[str, str]]:
    return tomllib.loads((ROOT / "buildbook/sources/sources.toml").read_text(encoding="utf-8"))


# The pages are all there


def test_every_coating_and_register_check_has_its_page():
    wanted = {f"coating/COA-{n:02}.md" for n in range(1, 17)} | {f"register/REG-{n:02}.md" for n in range(1, 5)}
    assert wanted <= {f"{page.parent.name}/{page.name}" for page in CHECK_PAGES}


def test_every_chapter_folder_has_its_chapter_page():
    folders = {page.parent for page in CHECK_PAGES}
    assert folders == {page.parent for page in CHAPTER_PAGES}


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_a_check_page_asks_a_question_and_has_its_headings_in_order(page):
    (tag, question), *rest = headings(page.read_text(encoding="utf-8"))
    assert tag == "h1"
    assert question.endswith("?")
    assert all(tag == "h2" for tag, _ in rest)
    titles = [title for _, title in rest]
    assert titles in (CHECK_HEADINGS, [*CHECK_HEADINGS, "Caution"])


@pytest.mark.parametrize("page", CHAPTER_PAGES, ids=name)
def test_a_chapter_page_has_its_headings_in_order(page):
    (tag, _), *rest = headings(page.read_text(encoding="utf-8"))
    assert tag == "h1"
    assert rest == [("h2", title) for title in CHAPTER_HEADINGS]


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_a_check_page_is_neither_a_stub_nor_an_essay(page):
    words = sum(length(block) for block in blocks(page.read_text(encoding="utf-8")))
    assert 120 <= words <= 260


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_a_caution_is_one_sentence_that_defers(page):
    _, heading, caution = page.read_text(encoding="utf-8").partition("## Caution\n")
    if heading:
        (sentence,) = sentences(caution)
        for who in ("data sheet", "local code", "licensed practice"):
            assert who in sentence


@pytest.mark.parametrize("check", ["COA-01", "COA-03", "COA-07", "COA-10", "COA-12", "COA-14", "COA-15"])
def test_work_that_can_hurt_someone_has_its_caution(check):
    page = (TEMPLATES / "chapters/coating" / f"{check}.md").read_text(encoding="utf-8")
    assert headings(page)[-1] == ("h2", "Caution")


@pytest.mark.parametrize(
    "page",
    [
        "laminate/LAM-01",
        "laminate/LAM-04",
        "laminate/LAM-10",
        "laminate/LAM-12",
        *(f"propeller/PRO-{n:02}" for n in (1, 2, 4, 7, 8, 9, 10, 11, 12, 15, 16)),
        *(f"vibration/VIB-{n:02}" for n in (1, 2, 4, 5, 7, 8, 9, 11)),
        *(f"systems/SYS-{n:02}" for n in range(1, 10)),
    ],
)
def test_furnace_press_grinder_and_spinning_propellers_have_their_caution(page):
    text = (TEMPLATES / "chapters" / f"{page}.md").read_text(encoding="utf-8")
    assert headings(text)[-1] == ("h2", "Caution")


# Plain words


@pytest.mark.parametrize("page", ALL_PAGES, ids=name)
def test_sentences_are_short(page):
    longest = LONGEST_OVERVIEW if page in WORDS_PAGES else LONGEST_CHAPTER
    mean = MEAN_OVERVIEW if page in WORDS_PAGES else MEAN_CHAPTER
    lengths = {sentence: length(sentence) for sentence in sentences(page.read_text(encoding="utf-8"))}
    assert [sentence for sentence, n in lengths.items() if n > longest] == []
    assert sum(lengths.values()) / len(lengths) <= mean


@pytest.mark.parametrize("page", ALL_PAGES, ids=name)
def test_no_banned_words(page):
    assert banned(page.read_text(encoding="utf-8")) == ()


@pytest.mark.parametrize("page", ALL_PAGES, ids=name)
def test_no_abbreviation_without_expansion(page):
    text = re.sub(r"^\[sources\]:.*$", "", page.read_text(encoding="utf-8"), flags=re.MULTILINE)
    capitals = set(re.findall(r"\b[A-Z]{2,}\b", text))
    assert capitals - NAMES_OF_BODIES - PLAIN_CAPITALS == set()


def test_the_glossary_explains_every_body_named():
    terms = {title for _, title in headings((TEMPLATES / "words/glossary.md").read_text(encoding="utf-8"))}
    assert terms >= NAMES_OF_BODIES


@pytest.mark.parametrize("page", ALL_PAGES, ids=name)
def test_no_raw_html(page):
    assert re.findall(r"<[a-zA-Z/!]", page.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_the_builders_book_does_not_say_we(page):
    assert re.findall(r"\b(?:we|our|us|ours)\b", page.read_text(encoding="utf-8")) == []


def test_glossary_terms_are_sorted_once_each_and_explained_in_15_words():
    text = (TEMPLATES / "words/glossary.md").read_text(encoding="utf-8")
    terms = [title for tag, title in headings(text) if tag == "h2"]
    assert terms == sorted(set(terms), key=lambda term: re.sub(r"[^a-z0-9]", "", term.lower()))
    explained = blocks(text)
    assert len(explained) == len(terms)
    first = {term: sentences(block)[0] for term, block in zip(terms, explained, strict=True)}
    assert {term: words for term, words in first.items() if length(words) > 15} == {}
    assert {term for term, block in zip(terms, explained, strict=True) if len(sentences(block)) > 2} == set()


def test_the_nine_verdicts_and_the_five_standings_are_explained():
    text = (TEMPLATES / "words/how-judged.md").read_text(encoding="utf-8").lower()
    assert [standing.value for standing in Standing if f"**{standing.value}**" not in text] == []
    terms = {title for _, title in headings((TEMPLATES / "words/glossary.md").read_text(encoding="utf-8"))}
    verdicts = {"pass", "conditional pass", "conditional fail", "fail", "inconclusive"}
    assert terms >= verdicts | {"not measured", "no record", "not applicable", "information"}


def test_seven_cautions():
    text = (TEMPLATES / "words/cautions.md").read_text(encoding="utf-8")
    assert len(re.findall(r"^\d\. \*\*", text, re.MULTILINE)) == 7


def test_the_first_page_says_in_three_or_four_sentences_what_the_book_is():
    said = sentences((TEMPLATES / "words/what-this-is.md").read_text(encoding="utf-8"))
    assert len(said) in (3, 4)
    assert "not a survey" in " ".join(said)


# Sources


@pytest.mark.parametrize("page", [*CHECK_PAGES, *CHAPTER_PAGES], ids=name)
def test_a_page_cites_known_sources(page):
    keys = cited(page.read_text(encoding="utf-8"))
    assert keys != []
    assert [key for key in keys if key not in known_sources()] == []


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_a_document_named_in_the_text_is_cited(page):
    text = page.read_text(encoding="utf-8")
    body = " ".join(blocks(text))
    named = DOCUMENT.findall(body)
    keys = {re.sub(r"[^A-Z0-9]", "", key) for key in cited(text)}
    assert [document for document in named if re.sub(r"[^A-Z0-9]", "", document) not in keys] == []


@pytest.mark.parametrize("page", CHECK_PAGES, ids=name)
def test_a_page_that_says_memory_or_practice_cites_them(page):
    text = page.read_text(encoding="utf-8")
    body, keys = " ".join(blocks(text)), cited(text)
    assert ("from memory" in body) == ("memory" in keys)
    assert bool(re.search(r"common practice|customar", body)) == ("common-practice" in keys)


# The checks of this file can fail


@pytest.mark.parametrize(
    "claim",
    [
        "The hull is certified.",
        "Built to ISO standards.",
        "This ensures a dry surface.",
        "A flawless, state-of-the-art finish.",
        "The best paint.",
        "It complies with ISO 19840.",
    ],
)
def test_a_claim_is_caught(claim):
    assert banned(claim) != ()


def test_a_measured_sentence_is_not_caught():
    fair = "The certificate of the gauge is on file. Compared with a known standard, it read 2 µm low."
    assert banned(fair) == ()


def test_sentences_are_told_apart():
    table = "| a | b |\n|---|---|\n| Not. | This. |"
    text = f"# Title\n\nOne is 3.0 mm, by 33 CFR 181.25. Two\nis here.\n\n{table}\n\n- Three."
    assert sentences(text) == ["One is 3.0 mm, by 33 CFR 181.25.", "Two is here.", "Three."]


@pytest.mark.parametrize("folder", ["templates", "docs", "buildbook"])
def test_no_file_has_the_marks_of_a_merge_that_was_not_finished(folder: str) -> None:
    """Two versions of a place, one above the other, would stand in the book."""
    paths = [path for path in sorted((ROOT / folder).rglob("*")) if path.suffix in TEXTS]
    assert len(paths) > 10
    assert [str(path.relative_to(ROOT)) for path in paths if MERGING.search(path.read_text("utf-8"))] == []


def test_the_marks_of_a_merge_are_found() -> None:
    for sign in "<|>":
        assert MERGING.search(f"first\n{sign * 7} other\nlast")
    assert not MERGING.search("| a | b |\n> quoted\n  <<<<<<< inside")
