"""docs/reference/ repeats the code and is generated; every command, option, check and table is in the documents."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
import typer.main

from buildbook.chapters import CHAPTERS, CHECKS, TABLES
from buildbook.cli import app
from buildbook.core.chapter import Chapter
from buildbook.reference import pages
from buildbook.render.jsonfile import book_json
from tests.demonstration import demonstration

ROOT = Path(__file__).resolve().parent.parent
REFERENCE = ROOT / "docs" / "reference"
DOCUMENTS = [*sorted(ROOT.glob("*.md")), *sorted((ROOT / "docs").rglob("*.md"))]
PAGES = pages()


@pytest.mark.parametrize("name", PAGES)
def test_what_is_committed_is_what_the_code_says(name: str) -> None:
    assert (REFERENCE / name).read_text(encoding="utf-8") == PAGES[name], "run `make docs` and commit docs/reference"


def test_nothing_else_lies_there() -> None:
    assert {path.name for path in REFERENCE.iterdir()} == set(PAGES)


def test_generated_pages_are_the_same_each_time() -> None:
    assert pages() == PAGES


def test_every_table_and_column_stands_in_the_column_page() -> None:
    for kind in TABLES:
        section = PAGES["columns.md"].split(f"### `{kind.table.file}`")[1].split("\n### ")[0]
        rows = re.findall(r"^\| `([a-z_]+)(?: \[[^]]*\])?` \| (\S.*?) \|", section, flags=re.MULTILINE)
        assert [name for name, _ in rows] == list(kind.columns())


def test_every_row_of_a_generated_table_has_its_cells() -> None:
    blocks = [block for name, text in PAGES.items() if name.endswith(".md") for block in _blocks(text)]
    assert len(blocks) > len(TABLES)
    assert [block for block in blocks if len(set(block)) != 1] == []


def _blocks(text: str) -> list[list[int]]:
    """The number of bars in each line of each table."""
    tables = re.findall(r"(?:^\|.*\n)+", text, flags=re.MULTILINE)
    return [[line.replace(r"\|", "").count("|") for line in table.splitlines()] for table in tables]


def test_every_check_and_verdict_stands_in_the_page_of_checks() -> None:
    for chapter in CHAPTERS:
        for check in chapter.checks:
            section = PAGES["checks.md"].split(f"### {check.id}: {check.question}")[1].split("\n### ")[0]
            for verdict in check.verdicts:
                assert verdict.value in section
            for kind in check.tables:
                assert f"`{kind.table.file}`" in section


def test_the_schema_is_that_of_the_books_that_are_written() -> None:
    book = json.loads(book_json(demonstration().book))
    schema = json.loads((REFERENCE / "book.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(book)
    book["chapters"][0]["checks"][0]["governing"][0]["finding"]["verdict"] = "splendid"
    with pytest.raises(jsonschema.ValidationError, match="splendid"):
        jsonschema.Draft202012Validator(schema).validate(book)


def test_every_command_and_option_stands_in_its_reference() -> None:
    """As the library that reads the command line has them."""
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    sections = dict(re.findall(r"^## `(.+?)`\n(.*?)(?=^## |\Z)", PAGES["commands.md"], re.MULTILINE | re.DOTALL))
    assert list(sections) == sorted(commands)
    for name, command in commands.items():
        lines = re.findall(r"^- (.*?): \S", sections[name], re.MULTILINE)
        spelled = [set(re.findall(r"(?:^|, )`([^ `]+)", line)) for line in lines]
        expected = [
            set(item.opts) if item.param_type_name == "option" else {item.metavar}
            for item in command.params
            if item.name != "help"
        ]
        assert sorted(map(sorted, spelled)) == sorted(map(sorted, expected)), name


def test_every_command_is_used_somewhere_in_the_guide() -> None:
    """The reference tells what there is; the guide tells when somebody needs it."""
    guide = "\n".join(path.read_text(encoding="utf-8") for path in sorted((ROOT / "docs" / "guide").glob("*.md")))
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    assert [name for name in commands if f"buildbook {name} " not in guide] == []


def test_every_target_of_make_stands_in_the_documents() -> None:
    words = "\n".join(path.read_text(encoding="utf-8") for path in DOCUMENTS)
    targets = re.findall(r"^([a-z-]+):.*##", (ROOT / "Makefile").read_text(encoding="utf-8"), flags=re.MULTILINE)
    assert len(targets) > 8
    assert [target for target in targets if target != "help" and f"make {target}" not in words] == []


def test_links_between_the_documents_lead_somewhere() -> None:
    for path in DOCUMENTS:
        for address in re.findall(r"\]\(([^)\s]+)\)", path.read_text(encoding="utf-8")):
            if not re.match(r"https?:|#", address):
                assert (path.parent / address.split("#")[0]).exists(), f"{path.name}: {address}"


def test_the_first_page_of_the_project_counts_and_names_what_the_code_has() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    assert f"{len(CHECKS)} checks" in text
    assert f"{len(TABLES)} tables" in text
    for chapter in CHAPTERS:
        assert f"({chapter.checks[0].id} to {chapter.checks[-1].id})" in text, chapter.title


@pytest.mark.parametrize("chapter", CHAPTERS, ids=lambda chapter: chapter.key)
def test_what_to_write_down_is_told_for_every_check_of_every_chapter(chapter: Chapter) -> None:
    text = (ROOT / "docs" / "evidence" / f"{chapter.key}.md").read_text(encoding="utf-8")
    prefix = chapter.checks[0].id.split("-")[0]
    spans = re.findall(rf"{prefix}-(\d\d)(?: to {prefix}-(\d\d))?", text)
    told = {number for first, last in spans for number in range(int(first), int(last or first) + 1)}
    assert told == {int(check.id.split("-")[1]) for check in chapter.checks}


def test_the_page_of_each_chapter_names_its_own_tables() -> None:
    for chapter in CHAPTERS:
        text = (ROOT / "docs" / "evidence" / f"{chapter.key}.md").read_text(encoding="utf-8")
        own = [kind.table.file for kind in chapter.tables if kind.table.file.startswith(f"{chapter.key}/")]
        assert [file for file in own if not re.search(rf"\b{Path(file).stem}\b", text)] == []
