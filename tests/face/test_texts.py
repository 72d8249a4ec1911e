"""Texts in the builder's own words: what is refused with file and line, and what of the built-in text always stands."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from buildbook.chapters import CHAPTERS
from buildbook.face.refusal import FaceRefused
from buildbook.face.texts import MOST_WORDS, read_texts
from buildbook.render.templates import templates_dir
from buildbook.sources import all_sources

CHECKS: Mapping[str, list[str]] = {chapter.key: [check.id for check in chapter.checks] for chapter in CHAPTERS}
NAME = "coating/COA-04.md"
LAST = '[sources]: # "WMO-8, paint-manual-1, ISO-8502-4, UFGS-09971, memory, common-practice"'


def read(folder: Path):
    return read_texts(folder, CHECKS, all_sources())


def refused(folder: Path) -> list[str]:
    with pytest.raises(FaceRefused) as caught:
        read(folder)
    return str(caught.value).splitlines()


def spoiled(folder: Path, old: str, new: str) -> list[str]:
    file = folder / NAME
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1
    file.write_text(text.replace(old, new), encoding="utf-8")
    return refused(folder)


def line_of(folder: Path, words: str) -> int:
    lines = (folder / NAME).read_text(encoding="utf-8").split("\n")
    (found,) = [number for number, line in enumerate(lines, 1) if words in line]
    return found


def test_a_text_is_taken_with_its_hash(texts: Path) -> None:
    (own,), notices = read(texts)
    data = (texts / NAME).read_bytes()
    assert (own.page, own.file, own.text.encode()) == ("coating/COA-04", NAME, data)
    assert own.sha256 == hashlib.sha256(data).hexdigest()
    assert notices == ()


@pytest.mark.parametrize("page", sorted(templates_dir().glob("chapters/*/*.md")), ids=lambda page: page.stem)
def test_every_built_in_text_could_be_a_builders_own(tmp_path: Path, page: Path) -> None:
    """So the rules ask nothing of a builder that the program's own prose does not keep."""
    (tmp_path / page.parent.name).mkdir()
    (tmp_path / page.parent.name / page.name).write_bytes(page.read_bytes())
    (own,), _ = read(tmp_path)
    assert own.page == f"{page.parent.name}/{page.stem}"


def test_windows_line_ends_and_a_byte_order_mark_are_the_same_text(texts: Path) -> None:
    (plain,), _ = read(texts)
    data = b"\xef\xbb\xbf" + (texts / NAME).read_bytes().replace(b"\n", b"\r\n")
    (texts / NAME).write_bytes(data)
    (own,), _ = read(texts)
    assert own.text == plain.text
    assert own.sha256 == hashlib.sha256(data).hexdigest() != plain.sha256


# Headings


HEADINGS = (
    "## Why it matters",
    "## How it was measured",
    "## The limit and who set it",
    "## If it is missed",
    "## What this does not show",
)


@pytest.mark.parametrize("heading", HEADINGS)
def test_a_heading_that_is_missing_is_named(texts: Path, heading: str) -> None:
    line, *_ = spoiled(texts, heading + "\n", "")
    assert f"{NAME}: expected the heading '{heading}', after '" in line
    assert line.endswith("found no such heading. The book is not made.")


def test_a_caution_may_not_be_left_out_where_there_is_one(tmp_path: Path) -> None:
    (tmp_path / "coating").mkdir()
    text = (templates_dir() / "chapters/coating/COA-01.md").read_text(encoding="utf-8")
    (tmp_path / "coating/COA-01.md").write_text(
        re.sub(r"## Caution\n(.*?)(?=\[sources)", "", text, flags=re.DOTALL), "utf-8"
    )
    (line,) = refused(tmp_path)
    assert "coating/COA-01.md: expected the heading '## Caution'" in line


@pytest.mark.parametrize("extra", ["## Why we are proud", "### A detail", "# Another title", "#### x", "Why\n---"])
def test_a_heading_too_many_is_named_with_its_line(texts: Path, extra: str) -> None:
    number = line_of(texts, "## If it is missed")
    (line,) = spoiled(texts, "## If it is missed\n", f"{extra}\n\nWords.\n\n## If it is missed\n")
    assert line.startswith(f"{NAME}:{number}: expected no heading but those of the built-in text; found '#")


def test_a_slip_in_a_heading_is_told_with_what_was_meant(texts: Path) -> None:
    lines = spoiled(texts, "## Why it matters", "## Why it maters")
    assert any("'## Why it maters' (did you mean 'Why it matters'?)" in line for line in lines)


def test_headings_in_another_order_and_twice(texts: Path) -> None:
    text = (texts / NAME).read_text(encoding="utf-8")
    (texts / NAME).write_text(
        text.replace("## If it is missed", "## X")
        .replace("## Why it matters", "## If it is missed")
        .replace("## X", "## Why it matters"),
        "utf-8",
    )
    assert any("expected the headings in this order" in line for line in refused(texts))
    (texts / NAME).write_text(
        text.replace("## If it is missed", "## If it is missed\n\nWords.\n\n## If it is missed"), "utf-8"
    )
    assert any("expected each heading once" in line for line in refused(texts))


def test_the_question_is_that_of_the_book(texts: Path) -> None:
    lines = spoiled(texts, "# Was the surface dry under every coat?", "# Was she painted dry, as ever?")
    assert "the heading '# Was the surface dry under every coat?', as the first" in lines[0]


def test_a_heading_with_nothing_under_it(texts: Path) -> None:
    text = (texts / NAME).read_text(encoding="utf-8")
    empty = re.sub(r"(## If it is missed\n).*?(?=## What)", r"\1\n", text, flags=re.DOTALL)
    (texts / NAME).write_text(empty, "utf-8")
    (line,) = refused(texts)
    assert "expected a text under '## If it is missed'; found nothing" in line


def test_nothing_need_be_added_where_the_built_in_text_stands(texts: Path) -> None:
    text = (texts / NAME).read_text(encoding="utf-8")
    (texts / NAME).write_text(
        re.sub(r"(## What this does not show\n).*?(?=\[sources)", r"\1\n", text, flags=re.DOTALL), "utf-8"
    )
    assert len(read(texts)[0]) == 1


def test_words_that_no_page_would_show(texts: Path) -> None:
    (line,) = spoiled(texts, "## Why it matters\n", "A motto.\n\n## Why it matters\n")
    assert "a text that no page shows" in line


# Words


@pytest.mark.parametrize(
    ("words", "found"),
    [("the best shed", "'best' (praise without a measure)"), ("This\nensures it", "'ensures' (promises an effect)")],
)
def test_banned_words_are_refused_with_line_and_word(texts: Path, words: str, found: str) -> None:
    number = line_of(texts, "We stop, heat the shed") + words.count("\n")
    (line,) = spoiled(texts, "We stop, heat the shed", f"{words}. We stop, heat the shed")
    assert line == f"{NAME}:{number}: expected words that records can bear; found {found}. The book is not made."


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("&#99;ertified", "'certified' (claims"),
        ("certi&shy;fied", "'certified' (claims"),
        ("certi\u200bfied", "'certified' (claims"),
        ("certi**fi**ed", "'certified' (claims"),
        ("zero  defects", "'zero defects' (no reading"),
        ("zero\u00a0defects", "'zero defects' (no reading"),
        ("world\u2011class", "'world-class' (praise"),
        ("\uff42\uff45\uff53\uff54", "'best' (praise"),
        ("in compliance with the rule", "'in compliance with' (claims"),
        ("It meets all requirements of ISO", "'meets all requirements of ISO' (claims"),
        ("built to ISO", "'built to ISO' (claims"),
        ("\u0441ertified", "each word in the letters of one alphabet; found '\u0441ertified'"),
        ("left \u202ethgir", "U+202E (right-to-left override)"),
        ("left &#x202e;thgir", "U+202E (right-to-left override)"),
        ("a\u0301\u0301\u0301\u0301\u0301", "U+0301 (combining acute accent)"),
        ("\u2713 pass", "no sign that may pass for a verdict; found U+2713 (check mark)"),
    ],
)
def test_words_and_signs_in_disguise_are_refused(texts: Path, words: str, found: str) -> None:
    number = line_of(texts, "We stop, heat the shed")
    lines = spoiled(texts, "We stop, heat the shed", f"{words}. We stop, heat the shed")
    assert any(line.startswith(f"{NAME}:{number}: ") and found in line for line in lines), lines


@pytest.mark.parametrize("words", ["**Verdict: pass**", "__What this does not show__", "> **Pass.** **312**"])
def test_a_paragraph_all_in_bold_is_refused(texts: Path, words: str) -> None:
    lines = spoiled(texts, "We stop, heat the shed", f"\n\n{words}\n\nWe stop, heat the shed")
    assert any("expected no paragraph all in bold" in line for line in lines), lines


def test_honest_signs_of_other_languages_are_taken(texts: Path) -> None:
    file = texts / NAME
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace("We stop", "Größe ≤ 3 µm; 36 µm²; Ω; Вода; **We** stop"), encoding="utf-8")
    assert read(texts)[1] == ()


def test_a_claim_over_a_line_break_is_found(texts: Path) -> None:
    lines = spoiled(texts, "We stop, heat the shed", "It complies\nwith the rule. We stop, heat the shed")
    assert any("'complies with'" in line for line in lines)


@pytest.mark.parametrize(
    "html", ["<b>x</b>", "<script>alert(1)</script>", "</div>", "<!-- x -->", "<img src=x>", "<?x?>"]
)
def test_html_is_refused(texts: Path, html: str) -> None:
    number = line_of(texts, "We stop, heat the shed")
    lines = spoiled(texts, "We stop, heat the shed", f"{html} We stop, heat the shed")
    assert any(line.startswith(f"{NAME}:{number}: expected Markdown without HTML; found '<") for line in lines)


def test_pictures_are_refused(texts: Path) -> None:
    (line,) = spoiled(texts, "We stop, heat the shed", "![her](photograph.png) We stop, heat the shed")
    assert "pictures stand in photographs.csv; found a picture" in line


ELSEWHERE = ("javascript:alert(1)", "nowhere.html", "http://x.invalid", "coating.html#COA-01", "data:text/html,x")


@pytest.mark.parametrize("address", ELSEWHERE)
def test_a_link_that_leads_nowhere_or_elsewhere_is_refused(texts: Path, address: str) -> None:
    (line,) = spoiled(texts, "We stop, heat the shed", f"[here]({address}) We stop, heat the shed")
    assert "expected a link to an https address or to one of coating.html, coverage.html" in line
    assert address in line


def test_links_to_pages_of_the_book_are_taken(texts: Path) -> None:
    file = texts / NAME
    text = file.read_text(encoding="utf-8")
    words = "See [there](exceptions.html), [here](https://example.invalid/). We stop"
    file.write_text(text.replace("We stop", words), "utf-8")
    assert len(read(texts)[0]) == 1


def test_an_essay_is_refused(texts: Path) -> None:
    (line,) = spoiled(texts, "We stop, heat the shed", "word " * MOST_WORDS + "We stop, heat the shed")
    assert f"expected at most {MOST_WORDS} words; found 7" in line


# Sources


def test_the_line_of_sources_may_not_be_dropped(texts: Path) -> None:
    (line,) = spoiled(texts, LAST, "")
    assert line == f"{NAME}: expected the line {LAST}; found none. The book is not made."


def test_no_source_may_be_dropped_from_it_and_none_invented(texts: Path) -> None:
    number = line_of(texts, "[sources]")
    lines = spoiled(texts, "paint-manual-1, ISO-8502-4,", "paint-manual-2222, ISO-8502-4,")
    assert lines[0].startswith(f"{NAME}:{number}: expected every source of the built-in text")
    assert "found a line without paint-manual-1." in lines[0]
    assert any("'paint-manual-2222' (did you mean" in line for line in lines)


# Files


def test_a_name_that_no_check_has_is_refused(texts: Path) -> None:
    (texts / NAME).rename(texts / "coating/COA04.md")
    (line,) = refused(texts)
    assert "expected the name of a check or chapter" in line
    assert "did you mean 'coating/COA-04'?" in line


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"# \xff\xfe", "text in UTF-8"),
        (b"\0", "zero bytes"),
        (b"x" * 20_001, "at most 0.02 MB"),
        (b"", "the heading '# Was the surface dry"),
    ],
)
def test_a_file_that_is_no_text(texts: Path, data: bytes, words: str) -> None:
    (texts / NAME).write_bytes(data)
    assert any(words in line for line in refused(texts))


def test_links_are_not_followed(texts: Path) -> None:
    (texts / NAME).rename(texts.parent / "text.md")
    (texts / NAME).symlink_to(texts.parent / "text.md")
    (line,) = refused(texts)
    assert "expected a text, as 'coating/COA-04.md'; found none" in line


def test_other_files_are_told(texts: Path) -> None:
    (texts / "notes.txt").write_text("x", encoding="utf-8")
    _, notices = read(texts)
    assert notices == ("notes.txt: not a text, not used",)


def test_faults_of_all_texts_are_told_at_once(texts: Path) -> None:
    (texts / "coating/COA-05.md").write_text("Words.\n", encoding="utf-8")
    (texts / "coating/chapter.md").write_text("Words.\n", encoding="utf-8")
    lines = spoiled(texts, "We stop", "The best")
    assert {line.split(":")[0] for line in lines} == {NAME, "coating/COA-05.md", "coating/chapter.md"}
