"""No book is written while something that the yard asked to withhold would be published."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from buildbook.core.fault import Severity
from buildbook.pipeline import make_book, write_book
from buildbook.render.place import Refused
from tests.parcel.small_hull import HULL, RAW, edit, everything, small_hull


def refused(hull: Path, out: Path) -> str:
    """Why a build writes no book, in words."""
    with pytest.raises(Refused) as no:
        write_book(make_book(hull), hull, out, pdf=False)
    assert not out.exists()
    return str(no.value)


def line_of(hull: Path, words: str) -> int:
    lines = (hull / "hull.toml").read_text("utf-8").splitlines()
    return next(number for number, line in enumerate(lines, start=1) if words in line)


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ("documents/DWG-21.png", "did you mean 'documents/DWG-201.png', 'documents/DWG-300.png'"),
        ("DWG-201.png", "did you mean 'documents/DWG-201.png'"),
        ("coating/batchs.csv:supplier", "did you mean 'coating/batches.csv:supplier'"),
        ("coating/batches.csv:suplier", "did you mean 'supplier'"),
        ("documents/*.png", "no patterns; found 'documents/*.png', a pattern, which names nothing"),
        ("qqqqq", "found 'qqqqq', which is not there."),
        ("", "found '', which is not there."),
        ("documents", "which is a folder"),
        # Only what cannot be withheld: readings, limits, exceptions.
        ("coating/coats.csv", "nothing of coating/coats.csv"),
        ("nonconformities.csv", "nothing of nonconformities.csv"),
        ("non*.csv", "it would fit 1 of the files: nonconformities.csv"),
        ("hull.toml", "cannot be withheld"),
    ],
)
def test_a_name_that_withholds_nothing_stops_the_build(tmp_path: Path, entry: str, told: str) -> None:
    hull = small_hull(tmp_path / "hull", f'withhold = ["coating/batches.csv:supplier",\n  "{entry}"]')
    (hull / "nonconformities.csv").write_bytes((HULL / "nonconformities.csv").read_bytes())
    words = refused(hull, tmp_path / "out")
    assert told in words
    assert f"hull.toml:{line_of(hull, 'withhold = ') + 1}, release.withhold: " in words
    assert words.count("release.withhold") == 1  # the other entry is withheld and not told


@pytest.mark.parametrize(
    ("given", "part", "told"),
    [
        ('[release]\nwithold = ["documents/DWG-201.png"]', "release.withold", "did you mean 'withhold'"),
        ('[release]\nhidden = ["documents/DWG-201.png"]', "release.hidden", "one of withhold, ask"),
        ('[relase]\nwithhold = ["documents/DWG-201.png"]', "relase", "did you mean 'release'"),
        ('[publish]\nwithhold = ["documents/DWG-201.png"]', "publish.withhold", "below the line [release]"),
        ('withhold = ["documents/DWG-201.png"]', "machinery.withhold", "below the line [release]"),
        ("[release]\nwithhold = 5", "release.withhold", "a list of files or columns"),
        ('[release]\nwithhold = ["documents/DWG-201.png", 5]', "release.withhold", "found 5"),
        ('[[release]]\nwithhold = ["documents/DWG-201.png"]', "release", "a table [release]"),
        ('[release]\nwithhold = "  "', "release.withhold", "a list of files or columns"),
        ('[hull.release]\nwithhold = ["documents/DWG-201.png"]', "hull.release.withhold", "in [hull.release]"),
        ('[dates.release]\nwithhold = ["documents/DWG-201.png"]', "dates.release.withhold", "in [dates.release]"),
        ('[a.b.c]\nwithold = ["documents/DWG-201.png"]', "a.b.c.withold", "in [a.b.c]"),
        ('[[notes]]\nwithhold = ["documents/DWG-201.png"]', "notes[1].withhold", "in [notes[1]]"),
        (
            '[notes]\nof = [[{ withhold = ["documents/DWG-201.png"] }]]',
            "notes.of[1][1].withhold",
            "in [notes.of[1][1]]",
        ),
    ],
)
def test_a_list_that_is_not_read_as_such_stops_the_build(tmp_path: Path, given: str, part: str, told: str) -> None:
    """The last: the line [release] was forgotten, so the list belongs to the table before it."""
    hull = small_hull(tmp_path / "hull")
    edit(hull / "hull.toml", '[release]\nwithhold = ["coating/batches.csv:supplier", "documents/DWG-201.png"]', given)
    words = refused(hull, tmp_path / "out")
    assert f", {part}: " in words
    assert told in words


@pytest.mark.parametrize(
    "given",
    [
        'withhold = "documents/DWG-201.png"',  # no list, but its text is taken as a name
        'withhold = ["documents/DWG-201.png", ["coating/batches.csv:supplier"]]',
        'withhold = ["documents/DWG-201.png"]\nask = ""',
        'withhold = ["documents/DWG-201.png"]\naks = "the office"',
        "withhold = []",
    ],
)
@pytest.mark.slow
def test_a_slip_that_publishes_nothing_too_much_is_only_a_fault(tmp_path: Path, given: str) -> None:
    hull = small_hull(tmp_path / "hull", given)
    write_book(make_book(hull), hull, tmp_path / "out", pdf=False)
    assert (tmp_path / "out/documents/DWG-201.png").exists() == (given == "withhold = []")


@pytest.mark.slow
def test_a_file_that_is_not_published_anyway_is_a_notice(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", 'withhold = ["drawings/lines.bin"]')
    (hull / "drawings").mkdir()
    (hull / "drawings/lines.bin").write_bytes(b"lines")
    made = make_book(hull)
    (told,) = [fault for fault in made.book.faults if fault.where.part == "release.withhold"]
    assert told.severity is Severity.NOTICE
    assert "not published anyway" in told.effect
    write_book(made, hull, tmp_path / "out", pdf=False)
    assert not [name for name, data in everything(tmp_path / "out").items() if data == b"lines"]


def test_the_bytes_of_such_a_file_may_be_published_under_another_name(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", 'withhold = ["drawing.png"]')
    (hull / "drawing.png").write_bytes((hull / "documents/DWG-201.png").read_bytes())
    assert "'drawing.png', a copy of documents/DWG-201.png" in refused(hull, tmp_path / "out")


@pytest.mark.slow
def test_the_command_writes_nothing_and_check_tells_the_same(tmp_path: Path) -> None:
    hull, out = small_hull(tmp_path / "hull", 'withhold = ["documents/DWG-21.png"]'), tmp_path / "out"
    command = [sys.executable, "-m", "buildbook"]
    done = subprocess.run([*command, "build", str(hull), "-o", str(out)], capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith("No book is written: hull.toml asks to withhold")
    assert not out.exists()
    asked = subprocess.run([*command, "check", str(hull)], capture_output=True, text=True, check=False)
    assert " ".join(done.stderr.split()) in " ".join(asked.stdout.split())
    assert done.stderr.count("DWG-21.png") == 1


@pytest.mark.slow
def test_an_earlier_book_stays_as_it_was(tmp_path: Path) -> None:
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "out"
    write_book(make_book(hull), hull, out, pdf=False)
    before = everything(out)
    edit(hull / "hull.toml", '"documents/DWG-201.png"', f'"{RAW[:-1]}"')
    with pytest.raises(Refused, match="No book is written"):
        write_book(make_book(hull), hull, out, pdf=False)
    assert everything(out) == before
