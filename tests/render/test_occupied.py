"""A folder that is no output: what it is and what to name instead is said; nobody is told to empty it."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from tests.parcel.small_hull import built, everything, small_hull

COMMANDS = {
    "build": ("build", "{hull}", "-o", "{out}"),
    "compare": ("compare", "{hull}", "{survey}", "-o", "{out}"),
    "remeasure": ("remeasure", "{hull}", "-o", "{out}"),
    "sign": ("sign", "{out}", "--key", "{key}"),
    "verify": ("verify", "{out}"),
    "previous": ("build", "{hull}", "-o", "{fresh}", "--previous", "{out}"),
}
CLEARING = ("empty it", "clear", "delete", "remove", "--force")


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_hull(tmp_path_factory.mktemp("hull") / "yard")


def said(command: str, hull: Path, out: Path, tmp_path: Path) -> str:
    """What a command prints that cannot be done; the folder is as it was."""
    survey = tmp_path / "survey"
    survey.mkdir(exist_ok=True)
    places = {"hull": hull, "survey": survey, "out": out, "key": tmp_path / "key", "fresh": tmp_path / "fresh"}
    before = everything(out)
    done = CliRunner().invoke(app, [word.format(**places) for word in COMMANDS[command]])
    assert done.exit_code == 2, done.output
    assert everything(out) == before
    assert not (tmp_path / "fresh").exists()
    words = " ".join(done.output.split())
    assert not any(word in words.lower() for word in CLEARING), words
    return words


@pytest.mark.parametrize("command", COMMANDS)
def test_another_folder_of_records_is_named_as_that(command: str, hull: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(hull, tmp_path / "other"))
    words = said(command, hull, other, tmp_path)
    if command == "remeasure":
        assert "Name a new folder" in words
    else:
        assert "folder of records" in words
        assert "ame the folder" in words or "Name another folder with -o, one that is not there yet" in words


@pytest.mark.parametrize("command", ["build", "compare", "sign"])
def test_a_part_of_a_folder_of_records_is_named_as_that(command: str, hull: Path, tmp_path: Path) -> None:
    other = Path(shutil.copytree(hull, tmp_path / "other"))
    assert f"it is part of the folder of records {other}" in said(command, hull, other / "coating", tmp_path)


@pytest.mark.parametrize("command", ["build", "compare", "remeasure"])
def test_the_hull_folder_itself_is_no_output(command: str, hull: Path, tmp_path: Path) -> None:
    own = Path(shutil.copytree(hull, tmp_path / "own"))
    words = said(command, own, own, tmp_path)
    assert "must not lie inside each other" in words or command == "remeasure"


@pytest.mark.parametrize("command", ["build", "compare", "sign"])
def test_of_another_folder_it_is_said_what_lies_there(command: str, hull: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    for name in ("letter.txt", "thesis.txt", "zebra.txt"):
        (other / name).write_text("three years", "utf-8")
    assert "was not written by buildbook: it holds letter.txt and 2 more" in said(command, hull, other, tmp_path)


def test_a_comparison_does_not_replace_a_book(hull: Path, tmp_path: Path) -> None:
    built(hull, tmp_path / "book")
    words = said("compare", hull, tmp_path / "book", tmp_path)
    assert "holds a book, which is another thing" in words
