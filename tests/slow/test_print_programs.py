"""The printed demonstration book before programs that others wrote to judge such files: qpdf and poppler."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.end_to_end.builds import Build

pytestmark = pytest.mark.slow
FAMILIES = ("IBM-Plex-Sans", "IBM-Plex-Serif")
PACKAGES = {"qpdf": "qpdf", "pdffonts": "poppler-utils", "pdfinfo": "poppler-utils", "pdfdetach": "poppler-utils"}


@pytest.fixture
def book(build: Build) -> Path:
    (path,) = build.out.glob("*-book.pdf")
    return path


def _said(request: pytest.FixtureRequest, program: str, *words: str) -> str:
    """What a program says; where it is missing the test is named as not run."""
    if not shutil.which(program):
        missing = f"{program} is not installed; Debian package {PACKAGES[program]}"
        capture = request.config.pluginmanager.getplugin("capturemanager")
        with capture.global_and_fixture_disabled():
            print(f"\nNOT RUN: {request.node.name} ({missing})")
        pytest.skip(f"NOT RUN: {missing}")
    done = subprocess.run([program, *words], capture_output=True, text=True, timeout=300)
    assert (done.returncode, done.stderr) == (0, ""), done.stdout + done.stderr
    return done.stdout


def test_qpdf_finds_no_error_of_syntax_or_structure(request: pytest.FixtureRequest, book: Path) -> None:
    said = _said(request, "qpdf", "--check", str(book))
    assert "No syntax or stream encoding errors found" in said
    assert "WARNING" not in said


def test_only_shipped_fonts_are_in_it_all_embedded_with_a_map_to_text(
    request: pytest.FixtureRequest, book: Path
) -> None:
    lines = _said(request, "pdffonts", str(book)).splitlines()
    assert lines[0].split() == ["name", "type", "encoding", "emb", "sub", "uni", "object", "ID"]
    fonts = lines[2:]
    assert len(fonts) >= 4
    for font in fonts:
        name = font.split()[0].partition("+")[2]
        assert re.fullmatch(rf"({'|'.join(FAMILIES)})(-\w+)*", name), font
        embedded, _, mapped = font.split()[-5:-2]
        assert (embedded, mapped) == ("yes", "yes"), font


def test_poppler_reads_title_tags_and_size(request: pytest.FixtureRequest, book: Path) -> None:
    said = dict(line.split(":", 1) for line in _said(request, "pdfinfo", str(book)).splitlines() if ":" in line)
    told = {name: text.strip() for name, text in said.items()}
    assert told["Title"].startswith("Specimen: quality records of hull ")
    assert (told["Tagged"], told["Suspects"], told["JavaScript"], told["Encrypted"]) == ("yes", "no", "no", "no")
    assert "(A4)" in told["Page size"]
    assert not {"PDF subtype", "CreationDate"} & set(told)


def test_the_files_can_be_taken_out_with_a_common_program(
    request: pytest.FixtureRequest, book: Path, build: Build, tmp_path: Path
) -> None:
    listed = _said(request, "pdfdetach", "-list", str(book)).splitlines()
    names = [line.partition(": ")[2] for line in listed[1:]]
    assert listed[0] == f"{len(names)} embedded files"
    place = names.index("book.json") + 1
    _said(request, "pdfdetach", "-save", str(place), "-o", str(tmp_path / "book.json"), str(book))
    assert (tmp_path / "book.json").read_bytes() == (build.out / "book.json").read_bytes()
