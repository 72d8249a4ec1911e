"""What a folder can hold that it should not: pictures from elsewhere, links, markup in notes, strange files."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from buildbook.core.book import Book
from buildbook.core.finding import Verdict
from buildbook.core.record import about
from buildbook.pipeline import make_book
from buildbook.readers.folder import MOST_BYTES
from buildbook.readers.refused import Refused
from buildbook.render.package import contents
from tests.end_to_end.spoiling import (
    Sheet,
    Spoil,
    a_fifth,
    better,
    book_of,
    cell,
    copied,
    faults,
    findings,
    in_table,
    small_picture,
    told,
    verdicts,
)
from tests.end_to_end.test_faults import KINDS, SHEETS
from tests.render.site_reader import own_script, read_page

PICTURES = "photographs.csv"
SECRET = b"root:x:0:0"
HOSTILE = (
    '<script>alert(1)</script><img src=x onerror="alert(2)"> & {{ 7*7 }} {% include "x" %} [a](javascript:alert(3))'
)


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("faults")
    (top / "secret.png").write_bytes(small_picture() + SECRET)
    (top / "secret.csv").write_bytes(SECRET + b"\n")
    return copied(top / "hull")


# --- pictures -----------------------------------------------------------------------------------------------------

ADDRESSES = [
    "../secret.png",
    "../../../../../../../etc/passwd",
    "photographs/../../secret.png",
    "/etc/passwd",
    "file:///etc/passwd",
    "http://example.invalid/a.png",
    "https://example.invalid/a.png",
    "data:image/png;base64,AAAA",
    "//example.invalid/a.png",
    "~/a.png",
    "photographs\\..\\..\\secret.png",
    "C:/a.png",
    "photographs/./a.png",
    ".hidden.png",
    "photographs",
    "hull.toml",
    "photographs/none.png",
    "photographs/\u202egnp.exe",
    "x" * 600 + ".png",
]


@pytest.mark.parametrize("address", a_fifth(ADDRESSES))
def test_a_picture_that_is_not_one_of_the_folder(spoil: Spoil, sound: Book, address: str) -> None:
    made = spoil(PICTURES, cell(1, "file", address))
    assert told(made, PICTURES, SHEETS[PICTURES].line(1), "The picture is not shown")
    assert len(made.book.photographs) == len(sound.photographs) - 1
    assert verdicts(made.book) == verdicts(sound)
    assert not any(SECRET in data for data in (*made.pictures.values(), *made.received.values()))


def test_a_picture_that_is_a_link(spoil: Spoil, hull: Path) -> None:
    """A link out of the folder and one inside it, as a file and as a folder on the way."""
    name = SHEETS[PICTURES].body[0][0]

    def linked(target: Path) -> Callable[[Path], None]:
        def change(path: Path) -> None:
            path.unlink()
            path.symlink_to(target)

        return change

    for target in (hull.parent / "secret.png", hull / SHEETS[PICTURES].body[1][0]):
        made = spoil(name, linked(target))
        assert told(made, PICTURES, 2, "a link (links are not followed)")
        assert not any(SECRET in data for data in made.pictures.values())


def test_pictures_in_a_linked_folder(hull: Path, sound: Book) -> None:
    real = hull.parent / "elsewhere"
    (hull / "photographs").rename(real)
    (hull / "photographs").symlink_to(real)
    try:
        made = make_book(hull)
    finally:
        (hull / "photographs").unlink()
        real.rename(hull / "photographs")
    assert [name for name in made.pictures if name.startswith("photographs/")] == []
    assert len(told(made, PICTURES)) == len(sound.photographs)


@pytest.mark.parametrize(
    ("data", "words"),
    a_fifth(
        [
            (b"not a picture", "cannot be read as one"),
            (small_picture()[:40], "cannot be read as one"),
            (b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>', "cannot be read as one"),
            (small_picture()[:16] + b"\xff\xff\x00\x00\xff\xff\x00\x00" + small_picture()[24:], ""),
            (b"", "cannot be read as one"),
        ]
    ),
    ids=["text", "cut short", "SVG", "a false size", "empty"],
)
def test_a_picture_that_cannot_be_shown(spoil: Spoil, data: bytes, words: str) -> None:
    made = spoil(SHEETS[PICTURES].body[0][0], lambda path: path.write_bytes(data))
    assert told(made, PICTURES, 2, "a picture" if words else "The picture is not shown", words)


# --- tables and other files ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "file", a_fifth(["coating/climate.csv", "plan.csv", "coating/film_thickness.csv", "instruments.csv"])
)
def test_a_table_that_is_a_link(spoil: Spoil, hull: Path, file: str) -> None:
    def change(path: Path) -> None:
        path.unlink()
        path.symlink_to(hull.parent / "secret.csv")

    made = spoil(file, change)
    assert told(made, file, None, "a link (links are not followed)")
    assert not any(SECRET in data for data in made.received.values())


def test_a_table_that_is_a_folder(spoil: Spoil, hull: Path) -> None:
    path = hull / "plan.csv"
    data = path.read_bytes()
    path.unlink()
    path.mkdir()
    try:
        made = make_book(hull)
    finally:
        path.rmdir()
        path.write_bytes(data)
    assert told(made, "plan.csv", None, "a folder")


def test_a_table_that_is_a_pipe(hull: Path) -> None:
    """Opening a pipe that nobody writes to would wait for ever."""
    path = hull / "plan.csv"
    data = path.read_bytes()
    path.unlink()
    os.mkfifo(path)
    try:
        made = make_book(hull)
    finally:
        path.unlink()
        path.write_bytes(data)
    assert told(made, "plan.csv", None, "a pipe")


def test_a_table_that_is_too_large(spoil: Spoil) -> None:
    def change(path: Path) -> None:
        with path.open("r+b") as file:
            file.truncate(MOST_BYTES + 1)

    assert told(spoil("moisture.csv", change), "moisture.csv", None, "at most 50 MB")


def test_too_many_rows(spoil: Spoil) -> None:
    row = "Z1,1,2026-02-16 09:00,scale,9,8,143,bare,MM-01\n"
    made = spoil("moisture.csv", lambda path: path.write_text(path.read_text(encoding="utf-8") + row * 200_001))
    assert told(made, "moisture.csv", None, "at most 200000 rows")


def test_a_table_in_capitals_is_named(hull: Path, sound: Book) -> None:
    (hull / "plan.csv").rename(hull / "Plan.CSV")
    try:
        made = make_book(hull)
    finally:
        (hull / "Plan.CSV").rename(hull / "plan.csv")
    (view,) = [view for view in made.book.tables if view.file == "plan.csv"]
    assert view.state == "is not in the folder (there is 'Plan.CSV')"
    assert "Plan.CSV" in made.book.unused_files


def test_files_that_nothing_uses_are_listed_and_change_nothing(spoil: Spoil, sound: Book) -> None:
    made = spoil("notes of the foreman.txt", lambda path: path.write_text("all good"))
    assert made.book.unused_files == (*sound.unused_files, "notes of the foreman.txt")
    assert verdicts(made.book) == verdicts(sound)
    assert faults(made.book) == []


@pytest.mark.parametrize(
    ("file", "column", "text", "follows"),
    [
        ("documents.csv", "issued", "2025-13-01", "The document is not shown as the one behind what names it."),
        ("documents.csv", "issued", "2027-05-21", "The document is not shown as the one behind what names it."),
        ("supports.csv", "attempt", "none", "This link is not shown."),
    ],
)
def test_what_a_row_without_readings_loses_is_said_of_it_and_no_finding_changes(
    spoil: Spoil, sound: Book, file: str, column: str, text: str, follows: str
) -> None:
    made = spoil(file, cell(1, column, text))
    (said,) = told(made, file, SHEETS[file].line(1), f"column '{column}'")
    assert said.endswith(f"{follows} No finding changes.")
    assert verdicts(made.book) == verdicts(sound)


def test_a_picture_whose_row_is_lost_is_not_shown_and_what_may_rest_on_it_is_undecided(
    spoil: Spoil, sound: Book
) -> None:
    made = spoil(PICTURES, cell(1, "taken", "2026-13-01"))
    (said,) = told(made, PICTURES, SHEETS[PICTURES].line(1), "column 'taken'")
    assert said.endswith("The picture is not shown. What rests on it is no better than inconclusive.")
    changed = {key for key, verdict in verdicts(made.book).items() if verdict is not verdicts(sound).get(key)}
    assert {key.check for key in changed} <= {"SHA-09", "REG-05"}


# --- markup -------------------------------------------------------------------------------------------------------


def _free_texts(file: str) -> list[str]:
    """Columns of free text that name nothing else."""
    columns = KINDS[file].columns()
    keys = {*KINDS[file].table.key, KINDS[file].table.place, KINDS[file].table.condition}
    texts = [name for name, info in columns.items() if info.annotation in (str, str | None) and name not in keys]
    named = {"check", "quantity", "condition", "place", "record", "fracture", "grit", "instrument", "unit", "number"}
    batches = {"base_batch", "hardener_batch", "thinner_batch", "product", "illuminant", "geometry", "meter_scale"}
    scales = {"image_method", "peel_scale", "abraded", "reopening_grit", "file", "variable", "system"}
    apart = {"laminate/ply_counts.csv": {"by"}, "laminate/strength.csv": {"direction", "conditioning", "method"}}
    apart["supports.csv"] = {"clause", "table_file", "row_key"}  # these words find what a document supports
    apart["parts/register.csv"] = {"item", "hull", "report", "replaced_by"}  # the rest of the papers is found by these
    apart |= {"infusion/mixes.csv": {"resin_batch"}, "batches.csv": {"material"}}
    named |= apart.get(file, set())  # these words part readers and series from each other
    return [
        name
        for name in texts
        if not about(columns[name], "refers") and name not in named | batches | scales and name in SHEETS[file].names
    ]


@pytest.mark.slow
def test_markup_in_every_text_is_shown_as_text(hull: Path, sound: Book) -> None:
    """In every free text of every table and of hull.toml at once: no verdict changes, no page has an element of it."""
    before = {path: path.read_bytes() for path in hull.rglob("*") if path.suffix in (".csv", ".toml")}
    spoilt = 0
    try:
        for file in SHEETS:
            for name in _free_texts(file):
                in_table(partial(_fill, name))(hull / file)
                spoilt += 1
        head = (hull / "hull.toml").read_text(encoding="utf-8")
        (hull / "hull.toml").write_text(head.replace('"Specimen"', f"'''{HOSTILE}'''"), encoding="utf-8")
        made = make_book(hull)
        files, *_ = contents(made.book, {**made.received, **made.pictures}, pdf=False)
    finally:
        for path, data in before.items():
            path.write_bytes(data)
    assert spoilt > 40
    assert faults(made.book) == []
    assert verdicts(made.book) == verdicts(sound)
    pages = {name: data.decode("utf-8") for name, data in files.items() if name.endswith(".html")}
    assert sum("&lt;script&gt;alert(1)" in text for text in pages.values()) > 20
    for name, text in pages.items():
        page = read_page(text)
        assert page.faults == [], name
        allowed = [{"type": "application/ld+json"}] if name.endswith("-listing.html") else []
        assert page.all("script") == (allowed or own_script(name)), name
        assert [image for image in page.all("img") if image.get("src") == "x"] == [], name
        assert [one for _, one in page.tags if any(word.startswith("on") for word in one)] == [], name
        assert [address for _, address in page.addresses if "javascript:" in address] == [], name
        assert "49" not in page.text or "{{ 7*7 }}" in page.text, name


def _fill(name: str, sheet: Sheet) -> None:
    """In three rows, those that have a text there before the others: what is blank may have to stay so."""
    blank = {row: not cells[sheet.index(name)].strip() for row, cells in enumerate(sheet.body)}
    for row in sorted(blank, key=lambda row: (blank[row], row))[:3]:
        if not (blank[row] and not all(blank.values())):
            sheet.set(row, name, HOSTILE)


# --- folders ------------------------------------------------------------------------------------------------------


def test_an_empty_folder(tmp_path: Path) -> None:
    book = book_of(tmp_path)
    assert told_of(book, "hull.toml")
    assert {view.state for view in book.tables} == {"is not in the folder"}
    _nothing_is_passed(book)


def test_a_hull_file_alone(tmp_path: Path, hull: Path) -> None:
    shutil.copy(hull / "hull.toml", tmp_path)
    _nothing_is_passed(book_of(tmp_path), but="REG-01")


def _nothing_is_passed(book: Book, but: str = "none") -> None:
    passed = (Verdict.PASS, Verdict.CONDITIONAL_PASS)
    assert [key for key, one in findings(book).items() if one.verdict in passed and key.check != but] == []


def told_of(book: Book, file: str) -> list[str]:
    return [str(fault) for fault in faults(book) if fault.where.file == file]


@pytest.mark.parametrize("name", ["nowhere", "hull/hull.toml", "loop"])
def test_a_folder_that_is_none(hull: Path, name: str) -> None:
    loop = hull.parent / "loop"
    loop.symlink_to(loop)
    try:
        with pytest.raises((Refused, OSError)) as refused:
            make_book(hull.parent / name)
    finally:
        loop.unlink()
    assert "a folder" in str(refused.value)


def test_what_may_not_be_read_is_told(hull: Path, sound: Book) -> None:
    """A file, and a folder; read as a user who may not, since root reads everything."""
    with tempfile.TemporaryDirectory() as top:
        Path(top).chmod(0o755)
        shutil.copytree(hull, Path(top) / "hull")
        (Path(top) / "hull" / "moisture.csv").chmod(0)
        (Path(top) / "hull" / "photographs").chmod(0)
        with _as_somebody():
            made = make_book(Path(top) / "hull")
        (Path(top) / "hull" / "photographs").chmod(0o755)
    assert told(made, "moisture.csv", None, "a file that may not be read")
    assert len(told(made, PICTURES)) == len(sound.photographs)
    assert better(sound, made.book) == []


@contextmanager
def _as_somebody() -> Iterator[None]:
    """Root becomes nobody for a while (user 65534, the overflow user of Linux); anybody else stays."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)
