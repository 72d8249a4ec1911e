"""An evidence package: a small one made here in the agreed layout, a bag by RFC 8493; and zips that mean harm."""

from __future__ import annotations

import hashlib
import json
import stat
import struct
import subprocess
import sys
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from buildbook.render.sums import withheld_lines
from buildbook.seal.holder import CannotJudge
from buildbook.seal.verify import Checked, verify
from tests.seal.test_verify_folder import run

TOP = "XX-1-evidence/"
RAW = b"sensor\n1\n2\n"
TABLES = {"hull.toml": b"name = 'Synthetic'\n", "coating/climate.csv": b"a\n1\n"}
Zip = Callable[..., Path]

RELISTED = ("data/SHA256SUMS", "manifest-sha256.txt")  # lists that are themselves named in a list


def sums(files: Mapping[str, bytes]) -> bytes:
    return "".join(f"{hashlib.sha256(data).hexdigest()}  {name}\n" for name, data in sorted(files.items())).encode()


def package(withheld: str = "") -> dict[str, bytes]:
    """The files of a package of an early edition by their names in the zip; one table may be withheld."""
    raw = [{"file": "raw/run.csv", "bytes": len(RAW), "sha256": hashlib.sha256(RAW).hexdigest()}]
    name, held = f"evidence/received/{withheld}", hashlib.sha256(TABLES.get(withheld, b"")).hexdigest()
    kept = [{"file": withheld, "name": name, "sha256": held, "ask": "the yard"}] if withheld else []
    apart = withheld_lines([("the yard", held, name)]) if withheld else b""
    book = json.dumps({"version": "0.0", "raw_files": raw, "withheld": kept}).encode()
    listed = {"book.json": book, **{f"evidence/received/{name}": data for name, data in TABLES.items()}}
    given = {name: data for name, data in listed.items() if not withheld or not name.endswith(withheld)}
    payload = {f"data/{name}": data for name, data in given.items()} | {"data/SHA256SUMS": sums(given) + apart}
    payload |= {"data/raw/raw/run.csv": RAW, "data/findings.csv": b"number\n", "data/worked/COA-01-1.txt": b"1 + 1\n"}
    tags = {"bagit.txt": b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", "bag-info.txt": b"A: b\n"}
    tags["manifest-sha256.txt"] = sums(payload)
    whole = {**payload, **tags, "tagmanifest-sha256.txt": sums(tags)}
    return {f"{TOP}{name}": data for name, data in whole.items()}


@pytest.fixture
def zipped(tmp_path: Path) -> Zip:
    def make(files: Mapping[str, bytes]) -> Path:
        path = tmp_path / "XX-1-evidence.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
            for name, data in files.items():
                made.writestr(name, data)
        return path

    return make


def judged(zipped: Zip, files: Mapping[str, bytes]) -> Checked:
    return verify(zipped(files))


def test_an_unchanged_package_is_the_same(zipped: Zip) -> None:
    files = package()
    found = judged(zipped, files)
    assert (found.changed, found.missing, found.extra, found.unreadable) == ({}, (), (), {})
    assert found.same == len(files) - 1, "all but the list of the lists"
    assert found.digest == hashlib.sha256(files[f"{TOP}data/SHA256SUMS"]).hexdigest()
    code, said = run(zipped(files), "--digest", found.digest[:12])
    assert code == 0
    assert "was NOT compared with its data (buildbook 0.0 made them" in said.splitlines()[0]
    assert "held by its own lists only" in said


@pytest.mark.parametrize("book", [b"{}", b"[]", b'{"version": 7}'])
def test_data_that_do_not_say_which_edition_made_them_are_not_judged(zipped: Zip, book: bytes) -> None:
    """To be of another edition is the one way not to be compared and yet to pass, so it must be said."""
    files = package() | {f"{TOP}data/book.json": book}
    old = package()[f"{TOP}data/book.json"]
    for name in ("data/SHA256SUMS", "manifest-sha256.txt", "tagmanifest-sha256.txt"):
        for before, after in ((old, book), *((package()[f"{TOP}{one}"], files[f"{TOP}{one}"]) for one in RELISTED)):
            was, now = (hashlib.sha256(data).hexdigest().encode() for data in (before, after))
            files[f"{TOP}{name}"] = files[f"{TOP}{name}"].replace(was, now)
    code, said = run(zipped(files))
    assert code == 2
    assert said.splitlines()[0].endswith("it cannot be judged whole.")


def test_each_changed_file_of_it_is_named(zipped: Zip) -> None:
    files = package()
    for name in files:
        if not name.endswith("tagmanifest-sha256.txt"):
            assert name in judged(zipped, files | {name: files[name] + b" "}).changed, name


def test_the_list_of_the_lists_is_not_named_by_any_but_its_damage_shows(zipped: Zip) -> None:
    name = f"{TOP}tagmanifest-sha256.txt"
    files = package()
    assert judged(zipped, files | {name: files[name].replace(b"bag-info", b"bag-onfo")}).missing == (
        f"{TOP}bag-onfo.txt",
    )


def test_missing_and_extra_files_of_it_are_named(zipped: Zip) -> None:
    files = package()
    del files[f"{TOP}data/worked/COA-01-1.txt"]
    found = judged(zipped, {**files, f"{TOP}data/more.txt": b"x", "beside.txt": b"y"})
    assert found.missing == (f"{TOP}data/worked/COA-01-1.txt",)
    assert found.extra == (f"{TOP}data/more.txt", "beside.txt")


def test_a_manifest_written_anew_does_not_hide_a_changed_record(zipped: Zip) -> None:
    """Only the first list is under the digest: a table and the manifest changed together still show."""
    files = package()
    table = f"{TOP}data/evidence/received/coating/climate.csv"
    payload = {name.removeprefix(TOP): data for name, data in files.items() if name.startswith(f"{TOP}data/")}
    manifest = sums(payload | {table.removeprefix(TOP): b"other"})
    found = judged(zipped, files | {table: b"other", f"{TOP}manifest-sha256.txt": manifest})
    assert table in found.changed


def test_long_records_are_held_by_the_sums_in_the_book(zipped: Zip) -> None:
    files = package()
    raw = f"{TOP}data/raw/raw/run.csv"
    payload = {name.removeprefix(TOP): data for name, data in files.items() if name.startswith(f"{TOP}data/")}
    manifest = sums(payload | {raw.removeprefix(TOP): b"other"})
    found = judged(zipped, files | {raw: b"other", f"{TOP}manifest-sha256.txt": manifest})
    assert found.changed[raw] == "not the sum that book.json gives"


def test_what_is_withheld_is_not_missing(zipped: Zip) -> None:
    found = judged(zipped, package(withheld="coating/climate.csv"))
    assert (found.missing, found.bad) == ((), False)
    assert found.withheld == ("evidence/received/coating/climate.csv",)


def test_a_signature_is_asked_for_in_the_folder_only(zipped: Zip, tmp_path: Path) -> None:
    code, said = run(zipped(package()), "--allowed", tmp_path / "list")
    assert code == 2
    assert "name the folder" in said


# Zips that mean harm


def test_names_that_lead_out_links_and_doubles_are_named_and_nothing_is_written(zipped: Zip, tmp_path: Path) -> None:
    path = zipped(package())
    link = zipfile.ZipInfo(f"{TOP}data/link")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(path, "a") as made:
        made.writestr("../../climbed.txt", b"x")
        made.writestr("/absolute.txt", b"x")
        made.writestr(link, b"/etc/passwd")
        with pytest.warns(UserWarning, match="Duplicate"):
            made.writestr(f"{TOP}data/findings.csv", b"number\n")
    before = sorted(tmp_path.rglob("*"))
    found = verify(path)
    assert found.changed[f"{TOP}data/findings.csv"] == "two files have this name"
    assert found.extra == (
        "../../climbed.txt (its name leads out of the folder)",
        "/absolute.txt (its name leads out of the folder)",
        f"{TOP}data/link (a symbolic link, not a file)",
    )
    assert sorted(tmp_path.rglob("*")) == before
    assert not (tmp_path.parent / "climbed.txt").exists()


@pytest.mark.slow
def test_a_bomb_is_summed_without_being_held(tmp_path: Path) -> None:
    """512 MB of zeros in half a megabyte, listed, so that they are unpacked: the program stays under 300 MB."""
    files, own = package(), f"{TOP}manifest-sha256.txt"
    files[own] += f"{'0' * 64}  data/zeros\n".encode()
    with zipfile.ZipFile(tmp_path / "bomb.zip", "w", zipfile.ZIP_DEFLATED, compresslevel=1) as made:
        for name, data in files.items():
            made.writestr(name, data)
        with made.open(f"{TOP}data/zeros", "w", force_zip64=True) as member:
            for _ in range(32):
                member.write(bytes(1 << 24))
    script = (
        "import re, sys; from pathlib import Path; from buildbook.seal.verify import verify;"
        "found = verify(Path(sys.argv[1]));"
        "print(list(found.changed), re.search(r'VmHWM:\\s+([0-9]+)', Path('/proc/self/status').read_text())[1])"
    )
    command = [sys.executable, "-c", script, str(tmp_path / "bomb.zip")]
    names, _, peak = subprocess.run(command, capture_output=True, text=True, check=True).stdout.rpartition(" ")
    assert f"{TOP}data/zeros" in names
    assert int(peak) < 300_000, (
        "kB at most, of this program alone (what the system counts for a child holds its parent too)"
    )


def test_what_unpacks_to_more_than_is_read_is_told(zipped: Zip, monkeypatch: pytest.MonkeyPatch) -> None:
    from buildbook.seal import in_zip

    monkeypatch.setattr(in_zip, "MOST_TOTAL", 200)
    with pytest.raises(CannotJudge, match="unpacks to more than this program reads"):
        judged(zipped, package())
    monkeypatch.setattr(in_zip, "MOST_TOTAL", 1 << 20)
    monkeypatch.setattr(in_zip, "MOST_MEMBER", 1200)
    files = package()
    found = judged(zipped, {**files, f"{TOP}data/findings.csv": bytes(5000)})
    assert found.changed[f"{TOP}data/findings.csv"] == "it unpacks to more than this program reads"


def test_a_member_that_lies_about_its_size_or_is_damaged_is_not_judged(zipped: Zip) -> None:
    path = zipped(package())
    data = path.read_bytes()
    with zipfile.ZipFile(path) as opened:
        member = opened.getinfo(f"{TOP}data/book.json")
        start = member.header_offset + 30 + len(member.filename)
    path.write_bytes(data[: start + 5] + b"\xff\xff\xff" + data[start + 8 :])
    found = verify(path)
    assert f"{TOP}data/book.json" in {**found.unreadable, **found.changed}
    entry = data.rindex(f"{TOP}data/book.json".encode()) - 46
    path.write_bytes(data[: entry + 24] + struct.pack("<I", 5) + data[entry + 28 :])
    found = verify(path)
    assert f"{TOP}data/book.json" in {**found.unreadable, **found.changed}


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_ways_of_packing_that_ask_for_much_memory_are_not_used(zipped: Zip, method: int) -> None:
    path = zipped(package())
    with zipfile.ZipFile(path, "a") as made:
        made.writestr(f"{TOP}data/more", b"x" * 1000, compress_type=method)
    assert verify(path).extra == (f"{TOP}data/more (it is packed in a way that this program does not use)",)


def test_zips_that_hold_no_package_cannot_be_judged(zipped: Zip, tmp_path: Path) -> None:
    two = {**package(), **{f"other/{name.removeprefix(TOP)}": data for name, data in package().items()}}
    for files in ({}, {"a.txt": b"x"}, two):
        code, said = run(zipped(files))
        assert code == 2
        assert "no evidence package" in said
    cut = zipped(package())
    cut.write_bytes(cut.read_bytes()[:-40])
    assert run(cut)[0] == 2
    (tmp_path / "only-start.zip").write_bytes(b"PK\x03\x04" + bytes(100))
    assert run(tmp_path / "only-start.zip")[0] == 2
