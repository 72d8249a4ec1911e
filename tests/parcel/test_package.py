"""The demonstration's package, read by programs that did not write it, and against the files of the hull folder."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import math
import re
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

import bagit
import frictionless
import pytest

from buildbook.chapters import CHAPTERS
from buildbook.pipeline import Made
from buildbook.render.streamed import streamed
from tests.parcel.conftest import pack
from tests.parcel.small_hull import HULL

ROOT = HULL.parent.parent
NUMBER = r"-?[0-9.]+(?:e[+-]?[0-9]+)?"


@pytest.fixture(scope="module")
def bag(package: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package unpacked."""
    folder = tmp_path_factory.mktemp("unpacked")
    with zipfile.ZipFile(package) as held:
        held.extractall(folder)
    return folder / "bag"


@pytest.fixture
def copy(bag: Path, tmp_path: Path) -> Path:
    """The package unpacked, to be changed."""
    import shutil

    return Path(shutil.copytree(bag, tmp_path / "bag"))


def described(bag: Path) -> dict[str, Any]:
    return dict(json.loads((bag / "data/datapackage.json").read_text("utf-8")))


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def as_number(cell: str) -> float | None:
    return float(cell) if cell else None


# As other programs read it


def test_bagit_validates_the_bag_and_takes_it_for_version_1_0(bag: Path) -> None:
    """The library reads 1.0 (RFC 8493) although it writes only 0.97."""
    read = bagit.Bag(str(bag))
    assert read.version_info == (1, 0)
    read.validate()
    assert (bag / "bagit.txt").read_bytes() == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"


@pytest.mark.parametrize("name", ["data/findings.csv", "data/raw/vibration/raw/V1_R1.wav", "bag-info.txt"])
def test_bagit_finds_one_changed_byte(copy: Path, name: str) -> None:
    data = bytearray((copy / name).read_bytes())
    data[10] ^= 1
    (copy / name).write_bytes(data)
    with pytest.raises(bagit.BagValidationError, match=re.escape(name)):
        bagit.Bag(str(copy)).validate()


def test_frictionless_validates_every_table(bag: Path) -> None:
    report = frictionless.validate(str(bag / "data/datapackage.json"))
    assert report.valid, report.flatten(["type", "message"])
    assert len(report.tasks) == len(described(bag)["resources"]) > 60


@pytest.mark.slow
def test_frictionless_finds_a_broken_foreign_key(copy: Path) -> None:
    """The digest in the description is made to fit, so that only the key can be found."""
    path = copy / "data/tables/coating/coats.csv"
    path.write_text(path.read_text("utf-8").replace(",Z1,", ",Z99,", 1), "utf-8")
    made = described(copy)
    (coats,) = [it for it in made["resources"] if it["name"] == "coating-coats"]
    coats |= {"hash": f"sha256:{hashlib.sha256(path.read_bytes()).hexdigest()}", "bytes": path.stat().st_size}
    (copy / "data/datapackage.json").write_text(json.dumps(made), "utf-8")
    report = frictionless.validate(str(copy / "data/datapackage.json"))
    assert {kind for (kind,) in report.flatten(["type"])} == {"foreign-key"}


def test_frictionless_finds_a_changed_byte(copy: Path) -> None:
    path = copy / "data/tables/coating/climate.csv"
    path.write_bytes(path.read_bytes().replace(b",19.7,", b",19.8,", 1))
    report = frictionless.validate(str(copy / "data/datapackage.json"))
    assert {kind for (kind,) in report.flatten(["type"])} == {"hash-count"}


@pytest.mark.slow
def test_an_implausible_value_breaks_the_schema(copy: Path) -> None:
    path = copy / "data/tables/coating/climate.csv"
    path.write_bytes(path.read_bytes().replace(b",19.7,", b",91.7,", 1))
    report = frictionless.validate(str(copy / "data/datapackage.json"))
    assert "constraint-error" in {kind for (kind,) in report.flatten(["type"])}


# Description


def test_the_description_is_a_data_package_2_with_hash_and_size_of_every_resource(bag: Path) -> None:
    made = described(bag)
    assert made["$schema"] == "https://datapackage.org/profiles/2.0/datapackage.json"
    for it in made["resources"]:
        data = (bag / "data" / it["path"]).read_bytes()
        assert (it["hash"], it["bytes"]) == (f"sha256:{hashlib.sha256(data).hexdigest()}", len(data))
        assert it.get("type", "table") == "table"
    names = [it["name"] for it in made["resources"]]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"[a-z0-9._-]+", name) for name in names)


def test_the_description_says_what_was_done_to_cells_and_that_all_is_invented(bag: Path) -> None:
    words = described(bag)["description"]
    assert "a cell of text that a spreadsheet would run as a formula has an apostrophe before it" in words
    assert "the files as received are untouched" in words
    assert "invented" in words
    assert "Withheld by the yard: column 'supplier' of coating/batches.csv" in words


def test_fields_have_type_unit_constraints_and_keys(bag: Path) -> None:
    tables = {it["name"]: it["schema"] for it in described(bag)["resources"] if "schema" in it}
    climate = {field["name"]: field for field in tables["coating-climate"]["fields"]}
    assert climate["air"]["type"] == "number"
    assert climate["air"]["unit"] == "degC"
    assert climate["air"]["constraints"] == {"required": True, "minimum": -30, "maximum": 60}
    assert climate["at"]["type"] == "datetime"
    assert tables["coating-climate"]["primaryKey"] == ["zone", "at"]
    assert {"fields": ["zone"], "reference": {"resource": "places", "fields": ["place"]}} in tables["coating-climate"][
        "foreignKeys"
    ]
    kinds = {field["name"]: field for field in tables["places"]["fields"]}
    assert kinds["kind"]["constraints"]["enum"] == ["zone", "part", "opening", "position"]
    assert kinds["painted"]["type"] == "boolean"
    assert all(schema["missingValues"] == [""] for schema in tables.values())


def test_no_record_calls_a_column_as_the_package_calls_the_line() -> None:
    kinds = {kind for chapter in CHAPTERS for kind in chapter.tables}
    assert not [kind for kind in kinds if "row" in kind.columns()]


# Against the folder


def test_what_was_received_is_there_byte_for_byte_but_for_what_is_withheld(bag: Path) -> None:
    given = {path.relative_to(HULL).as_posix(): path.read_bytes() for path in HULL.rglob("*") if path.is_file()}
    received = bag / "data/evidence/received"
    there = {path.relative_to(received).as_posix(): path.read_bytes() for path in received.rglob("*") if path.is_file()}
    raw = {path.relative_to(bag / "data/raw").as_posix() for path in (bag / "data/raw").rglob("*") if path.is_file()}
    assert raw == {name for name in given if "/raw/" in name}
    assert all((bag / "data/raw" / name).read_bytes() == given[name] for name in raw)
    assert there.items() <= given.items()
    apart = {name for name in given if name.startswith(("photographs/", "documents/"))}
    assert set(given) - set(there) - raw - apart == {"coating/batches.csv"}


def test_readable_tables_hold_the_numbers_received_with_their_lines(bag: Path) -> None:
    """Read here by the standard library alone; one file has semicolons and decimal commas."""
    for name, delimiter, encoding, column in (
        ("coating/climate.csv", ",", "utf-8", "surface"),
        ("coating/appearance.csv", ";", "cp1252", "image"),
    ):
        with (HULL / name).open(encoding=encoding, newline="") as handle:
            reader, line, given = csv.reader(handle, delimiter=delimiter), 1, {}
            for row in reader:  # a cell may run over several lines
                given[line], line = row, reader.line_num + 1
        at = [head.split(" [")[0] for head in given.pop(1)].index(column)
        wanted = {line: row[at].replace(",", ".") for line, row in given.items()}
        found = {int(row["row"]): row[column] for row in rows(bag / "data/tables" / name)}
        assert {line: as_number(cell) for line, cell in found.items()} == {
            line: as_number(cell) for line, cell in wanted.items()
        }


def test_every_finding_is_there_with_full_digits(bag: Path, made: Made) -> None:
    found = {row["number"]: row for row in rows(bag / "data/findings.csv")}
    items = [it for ch in made.book.chapters for c in ch.checks for it in (*c.governing, *c.references)]
    assert set(found) == {it.number for it in items}
    for it in items:
        row, measured = found[it.number], it.finding.measured
        assert (float(row["value"]) if row["value"] else None) == (measured.value if measured else None)
        assert (float(row["U"]) if row["U"] else None) == (measured.expanded if measured else None)
        assert (float(row["margin"]) if row["margin"] else None) == it.finding.margin
        assert row["verdict"] == it.finding.verdict.value


# Worked calculations, from their text alone


def texts(bag: Path) -> dict[str, str]:
    folder = bag / "data/worked"
    return {path.relative_to(folder).as_posix()[:-4]: path.read_text("utf-8") for path in folder.rglob("*.txt")}


def test_each_finding_has_its_calculation(bag: Path) -> None:
    found = {row["number"]: row for row in rows(bag / "data/findings.csv")}
    made = texts(bag)
    assert set(made) == set(found)
    for number, text in made.items():
        for heading in ("THE RESULT", "THE LIMIT AND WHO SET IT", "THE NUMBERS PUT IN", "THE ARITHMETIC", "FORMULAS"):
            assert re.search(rf"^[0-9]\. {heading}", text, re.M), (number, heading)
        assert f"verdict    {found[number]['verdict']}" in text
        lines = {place.rpartition(":")[2] for place in found[number]["rows"].split("; ") if ":" in place}
        for line in list(lines)[:3] if len(lines) < 60 else ():
            assert re.search(rf"\bline {line}:", text), (number, line)


def test_the_uncertainty_can_be_redone_from_the_text(bag: Path) -> None:
    redone = 0
    for number, text in texts(bag).items():
        total = re.search(rf"U = k u = ({NUMBER}) × ({NUMBER}) = ({NUMBER})", text)
        if total is None:
            continue
        block = text.split("in the unit of the value:\n")[1].split("  combined:")[0]
        parts = [
            float(found) for found in re.findall(rf": ({NUMBER})(?: \([0-9]+ degrees of freedom\))?$", block, re.M)
        ]
        assert len(parts) == len(block.splitlines()), number
        u = math.sqrt(sum(part**2 for part in parts))
        assert float(total[1]) * u == pytest.approx(float(total[3]), rel=1e-9), number
        redone += 1
    assert redone > 1000


def test_margin_and_verdict_can_be_redone_from_the_text(bag: Path) -> None:
    """By the rule that the text prints, for every finding with one of the four outcomes whose limit is not strict."""
    redone = 0
    for number, text in texts(bag).items():
        margin = re.search(rf"margin m = ({NUMBER})", text)
        if margin is None or "not allowed" in text:
            continue
        said = re.search(r"^  verdict    (.*)$", text, re.M)[1]  # type: ignore[index]
        if not said.startswith(("pass", "conditional", "fail")):
            continue
        ends = [float(end) for end in re.findall(rf"− (?:lower limit|value) = {NUMBER} − {NUMBER} = ({NUMBER})", text)]
        m, w = float(margin[1]), float(re.search(rf"guard band w = ({NUMBER})(?! × U)", text.split("7. MARGIN")[1])[1])  # type: ignore[index]
        assert min(ends) == pytest.approx(m, rel=1e-9, abs=1e-12), number
        bounds = ((w, "pass"), (0.0, "conditional pass"), (-w, "conditional fail"))
        verdict = next((word for bound, word in bounds if m >= bound - 1e-9), "fail")
        if verdict == "pass" and "no uncertainty was stated" in text:
            verdict = "conditional pass"
        assert said.startswith(verdict), number
        redone += 1
    assert redone > 500


def test_a_weighing_can_be_redone_from_its_text(bag: Path) -> None:
    """Glass content by mass (ISO 1172): what is left over what was burned, both less the crucible."""
    text = (bag / "data/worked/LAM-01/5.txt").read_text("utf-8")
    weighed = {name: float(re.search(rf"; {name} = ([0-9.]+) g", text)[1]) for name in ("crucible", "full", "residue")}  # type: ignore[index]
    glass = 100 * (weighed["residue"] - weighed["crucible"]) / (weighed["full"] - weighed["crucible"])
    assert glass == pytest.approx(float(re.search(r"value      ([0-9.]+) %", text)[1]), rel=1e-12)  # type: ignore[index]


def test_a_dew_point_can_be_redone_from_what_the_text_says_of_its_formula(bag: Path) -> None:
    """The constants are those of WMO-No. 8, annex 4.B: 17.62 and 243.12 degC."""
    text = next(text for number, text in texts(bag).items() if number.startswith("COA-04/") and "dew_point(" in text)
    assert "_A = 17.62" in text
    assert "_B_DEGC = 243.12" in text
    assert "result = _B_DEGC * g / (_A - g)" in text


# Same bytes


@pytest.mark.slow
def test_the_same_bytes_again_and_in_another_process(package: Path, made: Made) -> None:
    digest = hashlib.sha256(package.read_bytes()).hexdigest()
    assert streamed(pack(made, HULL)).sha256 == digest
    words = (
        "from tests.parcel.conftest import pack; from tests.parcel.small_hull import HULL; "
        "from buildbook.pipeline import make_book; from buildbook.render.streamed import streamed; "
        "print(streamed(pack(make_book(HULL), HULL)).sha256)"
    )
    environment = {"PYTHONHASHSEED": "4711", "TZ": "Pacific/Kiritimati", "LC_ALL": "C", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-c", words], cwd=ROOT, env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == digest


def test_times_order_and_permissions_are_fixed(package: Path) -> None:
    with zipfile.ZipFile(package) as held:
        entries = held.infolist()
    assert {entry.date_time for entry in entries} == {(1980, 1, 1, 0, 0, 0)}
    assert {entry.external_attr >> 16 for entry in entries} == {0o100644}
    names = [entry.filename for entry in entries]
    assert names[:4] == [
        f"bag/{name}" for name in ("bagit.txt", "bag-info.txt", "manifest-sha256.txt", "tagmanifest-sha256.txt")
    ]
    assert names[4:] == sorted(names[4:])
    assert not any("\\" in name or ".." in name for name in names)


def test_stock_unzip_finds_it_in_order(package: Path) -> None:
    done = subprocess.run(["unzip", "-tq", str(package)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_rows_in_csv_have_one_width(bag: Path) -> None:
    for path in bag.rglob("data/*.csv"):
        widths = {len(row) for row in csv.reader(io.StringIO(path.read_text("utf-8")))}
        assert len(widths) == 1, path
