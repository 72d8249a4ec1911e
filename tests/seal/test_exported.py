"""What a package exports is made a second time from its book and its records; a forged export is named with its row."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

import buildbook
from buildbook.cli import app
from buildbook.exports import differing
from buildbook.pipeline import make_book, released
from buildbook.render.place import Refused
from buildbook.seal.by_book import NOT_ORIGINAL
from buildbook.seal.earlier import NotEarlier, read_earlier
from buildbook.seal.sign import sign
from buildbook.seal.verify import Checked, verify
from tests.parcel.small_hull import RAW, built, edit, small_hull
from tests.seal.conftest import IDENTITY, no_passphrase
from tests.seal.test_by_book import digest_of, put_in, repacked, the_zip
from tests.seal.test_verify_folder import relisted, run

Change = Callable[[bytes], bytes]


def member(path: Path, name: str) -> bytes:
    with zipfile.ZipFile(path) as package:
        (full,) = [one for one in package.namelist() if one.endswith(f"/data/{name}")]
        return package.read(full)


def checked(path: Path) -> Checked:
    return verify(path, derived=differing)


def told(path: Path) -> dict[str, str]:
    """What is changed in a package, by the names below data/."""
    return {name.partition("/data/")[2] or name: why for name, why in checked(path).changed.items()}


def forged(out: Path, name: str, change: Change) -> None:
    """One file of the package changed, and every list that names it or the package written anew."""
    before = member(the_zip(out), name)
    assert change(before) != before
    repacked(the_zip(out), **{name: change(before)})
    relisted(out, "SHA256SUMS.release")


def other_cell(number: int, column: str, value: str) -> Change:
    def change(data: bytes) -> bytes:
        rows = list(csv.reader(io.StringIO(data.decode("utf-8"), newline="")))
        rows[number - 1][rows[0].index(column)] = value
        made = io.StringIO(newline="")
        csv.writer(made, lineterminator="\n").writerows(rows)
        return made.getvalue().encode("utf-8")

    return change


def without_row(number: int) -> Change:
    return lambda data: b"".join(line for at, line in enumerate(data.splitlines(keepends=True), 1) if at != number)


FORGERIES = {
    "a verdict": ("findings.csv", other_cell(3, "verdict", "pass"), "row 3, column verdict: found 'pass', expected"),
    "a value": ("findings.csv", other_cell(4, "value", "99"), "row 4, column value: found '99'"),
    "a finding left out": ("findings.csv", without_row(2), "row 2, column number: found"),
    "a reading": ("tables/coating/coats.csv", other_cell(5, "coat", "Z9"), "row 5, column coat: found 'Z9'"),
    "a reading left out": ("tables/coating/coats.csv", without_row(6), "row 6, column row: found"),
    "a working": ("worked/COA-02/1.txt", lambda data: data.replace(b"verdict", b"verdlct", 1), "line "),
    "a type": ("datapackage.json", lambda data: data.replace(b'"number"', b'"string"', 1), "line "),
    "the schema": ("book.schema.json", lambda data: data.replace(b'"Book"', b'"Look"'), "line "),
    "a used row": ("rows-not-used.csv", lambda data: data + b"coating/coats.csv,2,lost\n", "row 2: book.json uses"),
    "no row": ("rows-not-used.csv", lambda data: data + b"coating/coats.csv,99999,lost\n", "row 2: book.json uses"),
}


@pytest.mark.parametrize("what", FORGERIES)
def test_a_forged_export_is_named_with_the_first_thing_that_differs(papers: Path, what: str) -> None:
    name, change, why = FORGERIES[what]
    forged(papers, name, change)
    changed = told(papers)
    assert changed.pop(name).startswith(why)
    # size and sum of every file stand in the description and the tags, and the forger may not have thought of that
    assert {each.rpartition("/")[2] for each in changed} <= {"datapackage.json", "bag-info.txt"}


def test_the_lists_alone_do_not_tell_and_the_command_does(papers: Path) -> None:
    name, change, why = FORGERIES["a verdict"]
    forged(papers, name, change)
    assert verify(the_zip(papers), digest_of(papers)).changed == {}
    for path in (papers, the_zip(papers)):
        code, said = run(path, "--digest", digest_of(papers))
        assert code == 1
        assert f"data/{name}: {why}" in said


@pytest.mark.parametrize(
    "name", ["findings.csv", "tables/coating/coats.csv", "rows-not-used.csv", "worked/COA-02/1.txt"]
)
def test_an_export_that_was_taken_out_is_named_and_no_other_file_is(papers: Path, name: str) -> None:
    path = the_zip(papers)
    repacked(path, **{name: None})
    found = checked(path)
    assert ([one.partition("/data/")[2] for one in found.missing], found.changed) == ([name], {})


def test_a_file_that_was_put_into_the_package_is_named(papers: Path) -> None:
    repacked(the_zip(papers), {"tables/coating/more.csv": b"row\n"})
    changed = told(the_zip(papers))
    assert changed.pop("tables/coating/more.csv") == "nothing in book.json says that it belongs here"
    assert {name.rpartition("/")[2] for name in changed} == {"bag-info.txt"}


def test_a_missing_record_leaves_the_others_compared(papers: Path) -> None:
    """What follows from it cannot be compared, and is not accused; what does not is."""
    name = "evidence/received/coating/coats.csv"
    forged(papers, "findings.csv", other_cell(3, "verdict", "pass"))
    repacked(the_zip(papers), **{name: None})
    found = checked(the_zip(papers))
    assert [one.partition("/data/")[2] for one in found.missing] == [name]
    assert list(told(the_zip(papers))) == ["findings.csv"]


@pytest.mark.slow
def test_one_export_that_is_too_large_does_not_hide_another(papers: Path) -> None:
    table = member(the_zip(papers), "tables/coating/coats.csv")
    repacked(the_zip(papers), **{"tables/coating/coats.csv": table + b"\n" * (65 << 20)})
    forged(papers, "findings.csv", other_cell(3, "verdict", "pass"))
    code, said = run(papers)
    assert code == 1
    assert "data/findings.csv: row 3, column verdict: found 'pass'" in said
    assert (
        f"data/tables/coating/coats.csv: it has {len(table) + (65 << 20)} bytes, and {len(table)} are expected" in said
    )


def test_what_cannot_be_read_is_told_and_is_no_pass(papers: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("buildbook.seal.derived.MOST_FILE", 3000)
    code, said = run(the_zip(papers))
    assert code == 2
    assert said.splitlines()[0].endswith("it cannot be judged whole.")
    assert "data/book.json: larger than 0 MB, so it is not read" in said


@pytest.mark.slow
def test_a_withheld_raw_record_that_is_there_is_held_to_the_original(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull", f'withhold = ["{RAW}"]')
    built(hull, tmp_path / "out")
    path = the_zip(tmp_path / "out")
    repacked(path, {f"raw/{RAW}": (hull / RAW).read_bytes()})
    found = checked(path)
    assert (found.changed, found.withheld, [one.partition("/data/")[2] for one in found.given]) == (
        {},
        (),
        [f"raw/{RAW}"],
    )
    repacked(path, {f"raw/{RAW}": b"RIFF forged"})
    assert told(path) == {f"raw/{RAW}": NOT_ORIGINAL}
    assert checked(path).withheld == ()


def test_a_table_forged_under_a_withheld_name_makes_no_export_right(papers: Path) -> None:
    copy = member(the_zip(papers), "evidence/in-part/coating/batches.csv")
    name = "evidence/received/coating/batches.csv"
    other = other_cell(2, "expires", "2031-01-31")
    repacked(the_zip(papers), {name: other(copy)})
    forged(papers, "tables/coating/batches.csv", other)
    changed = told(the_zip(papers))
    assert changed[name] == NOT_ORIGINAL
    assert changed["tables/coating/batches.csv"].startswith("row 2, column expires: found '2031-01-31'")


@pytest.mark.slow
def test_what_verify_calls_changed_is_neither_signed_nor_the_release_before(
    papers: Path, small: Path, keys: Callable[..., Path]
) -> None:
    forged(papers, "findings.csv", other_cell(3, "verdict", "pass"))
    done = CliRunner().invoke(app, ["sign", str(papers), "--key", str(keys("yard"))])
    assert (done.exit_code, "findings.csv" in done.output) == (2, True)
    assert not (papers / "SHA256SUMS.release.sig").exists()
    with pytest.raises(NotEarlier, match=r"findings\.csv"):
        released(make_book(small / "hull"), papers)


def test_what_could_not_be_compared_or_is_withheld_is_not_signed(
    papers: Path, small: Path, keys: Callable[..., Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    drawing = "documents/DWG-201.png"
    lists = (papers / "SHA256SUMS.release").read_bytes()
    put_in(papers, drawing, (small / "hull" / drawing).read_bytes(), listed=True)
    with pytest.raises(Refused, match=r"withholds \(documents/DWG-201\.png\)"):
        sign(papers, keys("yard"), IDENTITY, no_passphrase, differing)
    (papers / drawing).unlink()
    (papers / "SHA256SUMS.release").write_bytes(lists)
    monkeypatch.setattr("buildbook.exports.__version__", "9.9.9")
    with pytest.raises(Refused, match="could not be compared"):
        sign(papers, keys("yard"), IDENTITY, no_passphrase, differing)
    assert read_earlier(papers, differing).number == 1, "the release before is often of another edition"


def test_a_package_under_another_name_and_none_are_told(papers: Path) -> None:
    package = the_zip(papers)
    other = package.with_name("other-evidence.zip")
    text = (papers / "SHA256SUMS.release").read_text("utf-8")
    package.rename(other)
    (papers / "SHA256SUMS.release").write_text(text.replace(package.name, other.name), "utf-8")
    found = checked(papers)
    assert found.changed == {other.name: f"no build of this book writes it: the package of this hull is {package.name}"}
    assert (found.no_package, found.missing) == (package.name, (package.name,))
    other.unlink()
    kept = [line for line in text.splitlines(keepends=True) if package.name not in line]
    (papers / "SHA256SUMS.release").write_text("".join(kept), "utf-8")
    code, said = run(papers)
    assert code == 1
    assert "Evidence package: NOT here, so not compared." in said
    assert "Missing (1)\n  " + package.name in said


@pytest.mark.slow
def test_the_package_of_another_book_is_told_in_the_folder(papers: Path, tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    edit(hull / "coating/coats.csv", "\n", "\n\n")
    built(hull, tmp_path / "other")
    the_zip(papers).write_bytes(the_zip(tmp_path / "other").read_bytes())
    relisted(papers, "SHA256SUMS.release")
    (changed,) = checked(papers).changed.items()
    assert changed == (the_zip(papers).name, f"it holds another book: its digest is {digest_of(tmp_path / 'other')}")


@pytest.mark.slow
def test_the_package_of_a_folder_with_faults_follows_from_it(tmp_path: Path) -> None:
    """Rows that cannot be used, rows in doubt and a doubled one: nothing of that is a forgery; to hide one is."""
    hull = small_hull(tmp_path / "hull")
    coats = (hull / "coating/coats.csv").read_text("utf-8").splitlines()
    lost = ",".join(["x" if at else cell for at, cell in enumerate(coats[1].split(","))])
    (hull / "coating/coats.csv").write_text("\n".join([*coats, coats[3], lost, "=1+1,2", ""]), "utf-8")
    edit(hull / "documents.csv", "SPEC-07,", "=SPEC-07,")
    out = tmp_path / "out"
    built(hull, out)
    found = checked(out)
    assert (found.changed, found.missing, found.compared) == ({}, (), True)
    assert b"coats.csv" in member(the_zip(out), "rows-not-used.csv")
    kept = the_zip(out).read_bytes()
    told_rows = csv.reader(io.StringIO(member(the_zip(out), "rows-not-used.csv").decode()))
    line = next(row[1] for row in told_rows if row[0] == "coating/coats.csv")
    forged(out, "rows-not-used.csv", lambda data: data + f"coating/coats.csv,{line},the yard made it up\n".encode())
    assert "does not give this reason for coating/coats.csv" in told(the_zip(out))["rows-not-used.csv"]
    the_zip(out).write_bytes(kept)
    forged(out, "rows-not-used.csv", lambda data: data.splitlines(keepends=True)[0])
    assert "is not in it with the reason" in told(the_zip(out))["rows-not-used.csv"]


def test_what_another_edition_made_is_said_not_to_be_compared(papers: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("buildbook.exports.__version__", "9.9.9")
    forged(papers, "findings.csv", other_cell(3, "verdict", "pass"))
    for path in (papers, the_zip(papers)):
        code, said = run(path)
        assert code == 0
        why = f"(buildbook {buildbook.__version__} made them, and this is 9.9.9)"
        assert said.splitlines()[0].endswith(f"but what the package exports was NOT compared with its data {why}.")
        assert f"They were not compared: buildbook {buildbook.__version__} made them, and this is 9.9.9." in said
        assert "held by its own lists only" in said


def test_data_that_no_build_writes_do_not_stop_it(papers: Path) -> None:
    """The book of a forger who has written every list anew: valid by its form, and odd."""
    data = json.loads(member(the_zip(papers), "book.json"))
    for table in data["tables"]:
        table["columns"] = []
    path = the_zip(papers)
    book = json.dumps(data).encode()
    sums = member(path, "SHA256SUMS").replace(_sum(member(path, "book.json")), _sum(book))
    repacked(path, **{"book.json": book, "SHA256SUMS": sums})
    code, said = run(path)
    assert code == 2
    assert said.splitlines()[0].endswith("it cannot be judged whole.")
    assert "data/book.json: its data are not those that a build writes" in said


def _sum(data: bytes) -> bytes:
    import hashlib

    return hashlib.sha256(data).hexdigest().encode()


def test_a_received_table_is_held_against_the_sum_in_the_book(papers: Path) -> None:
    name = "evidence/received/coating/coats.csv"
    (papers / name).write_bytes((papers / name).read_bytes() + b"\n")
    kept = [line for line in (papers / "SHA256SUMS").read_text("utf-8").splitlines() if line.startswith("#")]
    relisted(papers, "SHA256SUMS")
    with (papers / "SHA256SUMS").open("a", encoding="utf-8") as file:
        file.write("\n".join([*kept, ""]))
    relisted(papers, "SHA256SUMS.release")
    assert checked(papers).changed[name] == "not the sum that book.json gives"


# What stands first


def first(*words: str | Path) -> str:
    return run(*words)[1].splitlines()[0]


def test_the_first_line_says_which_of_the_three_does_not_hold(papers: Path, signed: Path, tmp_path: Path) -> None:
    other = "0" * 64
    assert first(papers).endswith(": every file is as the lists name it.")
    assert first(papers, "--digest", other).endswith(
        ": every file is as the lists name it, but the digest is NOT the one you typed."
    )
    (signed / "SHA256SUMS.release.sig").unlink()
    assert first(signed).endswith(": every file is as the lists name it, but the signature does NOT hold.")
    assert first(signed, "--digest", other).endswith(
        "but the digest is NOT the one you typed and the signature does NOT hold."
    )
    (signed / "coverage.html").unlink()
    assert first(signed, "--digest", digest_of(signed)).endswith(
        ": NOT the book that was written. The signature does NOT hold."
    )


def test_of_each_of_the_three_it_is_said_how_it_stands(signed: Path, papers: Path) -> None:
    said = run(signed, "--digest", digest_of(signed))[1].splitlines()
    assert said[2:4] == ["Digest: the one you typed.", "Signature: fits; whose key it is, is not compared."]
    assert run(papers)[1].splitlines()[2:4] == ["Digest: compared with none, since you typed none.", "Signature: none."]
    assert "only the folder of a book is signed" in run(the_zip(papers))[1].splitlines()[3]


def test_a_name_is_one_line_whatever_it_holds(papers: Path) -> None:
    (papers / "a\nSignature: fits\u202e.txt").write_text("x", "utf-8")
    said = run(papers)[1].splitlines()
    assert "  a\\nSignature: fits\\u202e.txt" in said
    assert not any(line.startswith("Signature: fits") for line in said)
