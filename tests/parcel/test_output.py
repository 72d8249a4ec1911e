"""The package in the output folder: digests, what a reader does with stock programs, what is withheld, odd folders."""

from __future__ import annotations

import csv
import hashlib
import html
import io
import json
import re
import shutil
import subprocess
import zipfile
from pathlib import Path

import pytest

from buildbook.pipeline import make_book, write_book
from buildbook.render.place import Refused
from tests.parcel.small_hull import HULL, RAW, built, edit, everything, small_hull

MARKER = "QuincunxAgent"
ZIP = "XX-EXY00007H526-evidence.zip"
TOP = "XX-EXY00007H526-evidence/"


def run(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["bash", "-c", command], cwd=folder, capture_output=True, text=True, check=False)


def members(package: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(package)) as held:
        return {name.removeprefix(TOP): held.read(name) for name in held.namelist()}


# Digests


def test_the_digest_recomputed_from_the_package_alone_is_the_printed_one(small: Path) -> None:
    inside = members((small / ZIP).read_bytes())
    digest = hashlib.sha256(inside["data/SHA256SUMS"]).hexdigest()
    assert f'<p class="digest">{digest}</p>' in (small / "verify.html").read_text("utf-8")
    entries = [line.split("  ", 1) for line in inside["data/SHA256SUMS"].decode().splitlines() if line[0] != "#"]
    assert len(entries) > 10
    for wanted, name in entries:
        assert hashlib.sha256(inside[f"data/{name}"]).hexdigest() == wanted
        assert inside[f"data/{name}"] == (small / name).read_bytes()


def test_the_package_and_the_documents_are_in_the_list_of_the_release(small: Path) -> None:
    lines = dict(line.split("  ", 1)[::-1] for line in (small / "SHA256SUMS.release").read_text("utf-8").splitlines())
    assert lines[ZIP] == hashlib.sha256((small / ZIP).read_bytes()).hexdigest()
    assert "documents/ECL-25-1181.pdf" in lines
    named = set(lines) | {
        line.split("  ")[1] for line in (small / "SHA256SUMS").read_text("utf-8").splitlines() if line[0] != "#"
    }
    assert named | {"SHA256SUMS.release"} == set(everything(small))


@pytest.mark.parametrize("program", ["sha256sum", "shasum -a 256"])
def test_a_layman_can_check_the_folder_although_something_is_withheld(small: Path, program: str) -> None:
    done = run(f"{program} -c SHA256SUMS SHA256SUMS.release", small)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "FAILED" not in done.stdout


def test_a_file_that_was_taken_away_is_still_found(small: Path, tmp_path: Path) -> None:
    out = Path(shutil.copytree(small, tmp_path / "out"))
    (out / "evidence/in-part/coating/batches.csv").unlink()
    assert run("sha256sum -c SHA256SUMS", out).returncode == 1


def test_the_commands_that_the_page_gives_for_the_package_do_what_it_says(small: Path, tmp_path: Path) -> None:
    out = Path(shutil.copytree(small, tmp_path / "out"))
    page = (out / "verify.html").read_text("utf-8")
    commands = [html.unescape(found) for found in re.findall(r"<code>(.*?)</code>", page)]
    unpack, compare, besides, digest = (command for command in commands if "evidence-package" in command)
    assert run(unpack, out).returncode == 0
    assert (tmp_path / "evidence-package" / TOP / "data").is_dir()
    done = run(compare, out)
    assert done.returncode == 0, done.stdout
    assert "FAILED" not in done.stdout
    assert run(besides, out).stdout == "tagmanifest-sha256.txt\n"
    printed = re.search(r'<p class="digest">([0-9a-f]{64})</p>', page)
    assert printed is not None
    assert run(digest, out).stdout.split()[0] == printed[1]


def test_whoever_is_given_the_original_can_check_it(small: Path, tmp_path: Path) -> None:
    """By the command of decision 13, with the originals put in place."""
    out = Path(shutil.copytree(small, tmp_path / "out"))
    for name in ("coating/batches.csv", "documents/DWG-201.png"):
        place = out / ("" if name.startswith("documents") else "evidence/received") / name
        place.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(HULL / name, place)
    command = r"sed -n 's/^# \([0-9a-f]\{64\}  \)/\1/p' SHA256SUMS | sha256sum -c"
    assert command in (Path(__file__).parents[2] / "docs/decisions/0013-evidence-package.md").read_text("utf-8")
    assert run(command, out).stdout == "documents/DWG-201.png: OK\nevidence/received/coating/batches.csv: OK\n" or (
        run(command, out).stdout == "evidence/received/coating/batches.csv: OK\ndocuments/DWG-201.png: OK\n"
    )


# Withheld


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The output of a hull that withholds a column, a table, a document and a raw record, with one word in each."""
    folder = tmp_path_factory.mktemp("marked")
    withhold = (
        'withhold = ["coating/batches.csv:supplier", "laminate/deliveries.csv", "documents/VP-01.pdf", '
        f'"{RAW}"]\nask = "the quality office"'
    )
    hull = small_hull(folder / "hull", withhold)
    edit(hull / "coating/batches.csv", "paint agent 1", f"={MARKER}")
    edit(hull / "laminate/deliveries.csv", "agent 1", MARKER)
    with (hull / "coating/batches.csv").open("a", encoding="utf-8") as handle:
        handle.write(f"X-1,EP-H,base,2025-11-04,2026-11-04,{MARKER},one cell too many\n")
        handle.write(f"X-2,EP-H,nonsense,2025-11-04,2026-11-04,certified {MARKER}\n")
    with (hull / "laminate/deliveries.csv").open("a", encoding="utf-8") as handle:
        handle.write(f"D-99,no such {MARKER},B,2025-07-07,{MARKER} approved,CC\n")
    (hull / "documents/VP-01.pdf").write_bytes((hull / "documents/VP-01.pdf").read_bytes() + MARKER.encode())
    raw = hull / RAW
    raw.write_bytes(raw.read_bytes())
    built(hull, folder / "out")
    return folder


def test_nothing_that_is_withheld_is_anywhere_in_the_output(marked: Path) -> None:
    files = everything(marked / "out")
    inside = members(files[ZIP])
    assert len(inside) > 30
    for name, data in {**files, **{f"{ZIP}!{name}": data for name, data in inside.items()}}.items():
        assert MARKER.encode() not in data, name
    whole = [(marked / "hull" / name).read_bytes() for name in (RAW, "documents/VP-01.pdf", "laminate/deliveries.csv")]
    assert not [name for name, data in {**files, **inside}.items() if data in whole]


def test_what_is_withheld_is_named_with_hash_size_and_whom_to_ask(marked: Path) -> None:
    out, hull = marked / "out", marked / "hull"
    inside = members((out / ZIP).read_bytes())
    page = html.unescape((out / "evidence/index.html").read_text("utf-8"))
    book = json.loads((out / "book.json").read_text("utf-8"))
    described = json.loads(inside["data/datapackage.json"])
    info = inside["bag-info.txt"].decode()
    assert len(book["withheld"]) == len(described["withheld"]) == 4
    for file, name in (
        ("coating/batches.csv", "evidence/received/coating/batches.csv"),
        ("laminate/deliveries.csv", "evidence/received/laminate/deliveries.csv"),
        ("documents/VP-01.pdf", "documents/VP-01.pdf"),
        (RAW, f"raw/{RAW}"),
    ):
        data = (hull / file).read_bytes()
        digest = hashlib.sha256(data).hexdigest()
        (told,) = [it for it in book["withheld"] if it["file"] == file]
        assert (told["sha256"], told["bytes"], told["ask"]) == (digest, len(data), "the quality office")
        (told,) = [it for it in described["withheld"] if it["file"] == file]
        assert (told["hash"], told["bytes"]) == (f"sha256:{digest}", len(data))
        assert "withheld by the yard. ask the quality office" in told["said"].lower()
        part = page[page.index('id="evidence-withheld"') :]
        assert digest in part
        assert str(len(data)) in part
        assert f"{len(data)} bytes; SHA-256 {digest}; ask the quality office" in info
        assert f"# {digest}  {name}\n" in (out / "SHA256SUMS").read_text("utf-8")
        assert name not in everything(out)


def test_a_table_in_part_keeps_its_other_cells_in_their_lines(marked: Path) -> None:
    copy = (marked / "out/evidence/in-part/coating/batches.csv").read_text("utf-8").splitlines()
    given = (marked / "hull/coating/batches.csv").read_text("utf-8").splitlines()
    assert len(copy) == len(given)
    assert copy[0] == given[0]
    for ours, theirs in zip(copy[1:-2], given[1:-2], strict=True):
        assert ours == ",".join([*theirs.split(",")[:-1], "withheld"])
    assert set(copy[-2].split(",")) == {"withheld"}  # its cells cannot be told apart
    assert copy[-1].startswith("X-2,EP-H,nonsense,")


def test_readable_table_and_its_schema_say_that_the_column_is_withheld(marked: Path) -> None:
    inside = members((marked / "out" / ZIP).read_bytes())
    rows = list(csv.DictReader(io.StringIO(inside["data/tables/coating/batches.csv"].decode())))
    assert {row["supplier"] for row in rows} == {"withheld"}
    tables = {it["name"]: it for it in json.loads(inside["data/datapackage.json"])["resources"]}
    (field,) = [it for it in tables["coating-batches"]["schema"]["fields"] if it["name"] == "supplier"]
    assert "Withheld by the yard" in field["description"]
    assert "laminate-deliveries" not in tables


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("coating/batches.csv", "of coating/batches.csv only coating/batches.csv:supplier"),
        ("coating/batches.csv:expires", "of coating/batches.csv only coating/batches.csv:supplier"),
        ("instruments.csv", "nothing of instruments.csv"),
        ("instruments.csv:uncertainty", "nothing of instruments.csv"),
        ("nonconformities.csv", "nothing of nonconformities.csv"),
        ("plan.csv", "nothing of plan.csv"),
        ("hull.toml", "a document, a raw record, a table or a column of one"),
        ("coating/batchs.csv:supplier", "a file of this folder"),
    ],
)
def test_what_cannot_be_withheld_is_a_fault_with_file_and_key_and_is_shown(
    tmp_path: Path, name: str, expected: str
) -> None:
    hull = small_hull(tmp_path / "hull", f'withhold = ["{name}"]')
    for file in ("nonconformities.csv", "plan.csv"):
        shutil.copy(HULL / file, hull / file)
    made = make_book(hull)
    (fault,) = [fault for fault in made.book.faults if fault.where.part == "release.withhold"]
    assert fault.where.file == "hull.toml"
    assert fault.where.line == (hull / "hull.toml").read_text("utf-8").splitlines().index(f'withhold = ["{name}"]') + 1
    assert expected in fault.expected
    assert fault in made.book.unusable
    assert made.book.withheld == ()
    assert set(made.received) >= {"coating/batches.csv", "instruments.csv", "nonconformities.csv", "hull.toml"}


def test_a_list_that_is_none_is_a_fault(tmp_path: Path) -> None:
    made = make_book(small_hull(tmp_path / "hull", 'withhold = "coating/batches.csv:supplier"'))
    (fault,) = [fault for fault in made.book.faults if fault.where.part == "release.withhold"]
    assert "a list of files or columns" in fault.expected
    assert [(it.file, it.column) for it in made.book.withheld] == [("coating/batches.csv", "supplier")]


def test_an_entry_that_is_no_text_is_told_by_itself_and_what_was_asked_is_withheld(tmp_path: Path) -> None:
    given = 'withhold = ["coating/batches.csv:supplier", 5,\n  ["documents/DWG-201.png"]]'
    hull = small_hull(tmp_path / "hull", given)
    made = make_book(hull)
    first = (hull / "hull.toml").read_text("utf-8").splitlines().index(given.splitlines()[0]) + 1
    told = {fault.where.line: fault.found for fault in made.book.faults if fault.where.part == "release.withhold"}
    assert told == {first: "5", first + 1: "['documents/DWG-201.png']"}
    held = [(it.file, it.column, it.at.line) for it in made.book.withheld]
    assert held == [("coating/batches.csv", "supplier", first), ("documents/DWG-201.png", "", first + 1)]
    assert not {"coating/batches.csv"} & set(made.received)
    assert "documents/DWG-201.png" not in made.pictures


@pytest.mark.parametrize(
    ("name", "expected", "found"),
    [
        (
            "coating/batches.csv:suplier",
            "a column of coating/batches.csv",
            "'coating/batches.csv:suplier', but it has no column 'suplier' (did you mean 'supplier'?)",
        ),
        (
            "documents/*.png",
            "files one by one, each by its own name: no patterns",
            "'documents/*.png', a pattern, which names nothing (it would fit 3 of the files: documents/DWG-201.png, "
            "documents/DWG-300.png and documents/WS-041.png)",
        ),
    ],
)
def test_a_name_of_nothing_is_not_told_as_something_forbidden(
    tmp_path: Path, name: str, expected: str, found: str
) -> None:
    made = make_book(small_hull(tmp_path / "hull", f'withhold = ["{name}"]'))
    (fault,) = [fault for fault in made.book.faults if fault.where.part == "release.withhold"]
    assert (fault.expected, fault.found) == (expected, found)
    assert fault.effect == "Nothing is withheld under this name, so no book is written."


def test_each_name_that_cannot_be_withheld_is_told_in_its_own_line(tmp_path: Path) -> None:
    entries = ('  "plan.csv", # not this', '  "documents/DWG-201.png", "qqqqq",', '  "documents",', '  "plan.csv",')
    given = "\n".join(("withhold = [", *entries, "]"))
    hull = small_hull(tmp_path / "hull", given)
    shutil.copy(HULL / "plan.csv", hull / "plan.csv")
    made = make_book(hull)
    first = (hull / "hull.toml").read_text("utf-8").splitlines().index("withhold = [") + 1
    told = {fault.where.line: fault.found for fault in made.book.faults if fault.where.part == "release.withhold"}
    assert told == {
        first + 1: "'plan.csv'",
        first + 2: "'qqqqq', which is not there",
        first + 3: "'documents', which is a folder: folders cannot be withheld",
    }
    (held,) = made.book.withheld
    assert (held.file, held.at.line) == ("documents/DWG-201.png", first + 2)


# Odd folders


def test_a_raw_record_that_changed_since_it_was_read_stops_the_build_and_the_old_book_stays(tmp_path: Path) -> None:
    hull, out = small_hull(tmp_path / "hull"), tmp_path / "out"
    made = make_book(hull)
    write_book(made, hull, out, pdf=False)
    before = everything(out)
    data = bytearray((hull / RAW).read_bytes())
    data[1000] ^= 1
    (hull / RAW).write_bytes(data)
    with pytest.raises(Refused, match=rf"{RAW} changed since it was read.*build again"):
        write_book(made, hull, out, pdf=False)
    assert everything(out) == before
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith(".")] == []


def test_a_hull_without_raw_records_or_documents(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", "withhold = []")
    shutil.rmtree(hull / "vibration")
    shutil.rmtree(hull / "documents")
    (hull / "documents.csv").unlink()
    (hull / "supports.csv").unlink()
    built(hull, tmp_path / "out")
    inside = members((tmp_path / "out" / ZIP).read_bytes())
    assert not [name for name in inside if name.startswith(("data/raw/", "data/documents/"))]
    assert json.loads(inside["data/datapackage.json"])["withheld"] == []
    assert "#" not in (tmp_path / "out/SHA256SUMS").read_text("utf-8")


def test_a_folder_without_anything_readable(tmp_path: Path) -> None:
    import bagit
    import frictionless

    hull = tmp_path / "hull"
    hull.mkdir()
    (hull / "places.csv").write_bytes(b"\x00\x01\x02 not a table")
    built(hull, tmp_path / "out")
    (package,) = (tmp_path / "out").glob("*-evidence.zip")
    with zipfile.ZipFile(package) as held:
        held.extractall(tmp_path / "x")
    (bag,) = (tmp_path / "x").iterdir()
    bagit.Bag(str(bag)).validate()
    assert frictionless.validate(str(bag / "data/datapackage.json")).valid
    assert "zero bytes" in (bag / "data/rows-not-used.csv").read_text("utf-8")
    assert (bag / "data/evidence/received/places.csv").read_bytes() == b"\x00\x01\x02 not a table"


def test_formulas_are_neutral_in_our_tables_and_untouched_as_received(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "places.csv", "Topsides, port", '""=HYPERLINK(1)""'.replace('""', ""))
    built(hull, tmp_path / "out")
    inside = members((tmp_path / "out" / ZIP).read_bytes())
    assert b"=HYPERLINK(1)" in inside["data/evidence/received/places.csv"]
    assert b"'=HYPERLINK(1)" not in inside["data/evidence/received/places.csv"]
    rows = list(csv.DictReader(io.StringIO(inside["data/tables/places.csv"].decode())))
    assert rows[0]["name"] == "'=HYPERLINK(1)"
    assert any(float(row["y"]) < 0 for row in rows if row["y"])  # a negative number stays a number
    for name, data in inside.items():
        if name.endswith(".csv") and name.startswith(("data/tables", "data/findings", "data/rows", "data/evidence/in")):
            cells = [cell for row in csv.reader(io.StringIO(data.decode())) for cell in row]
            wrong = [cell for cell in cells if cell[:1] in ("=", "@", "+", "\t", "\r")]
            assert wrong == [], name
