"""The printed book by the files attached to it, compared with what other programs take out of it."""

from __future__ import annotations

import hashlib
import io
import shutil
import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from buildbook.seal.verify import verify
from tests.sample_book import received
from tests.seal.test_verify_folder import run

BOOK = "XX-EXY00007H526-book.pdf"


@pytest.fixture
def pdf(printed: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(printed / BOOK, tmp_path / "book.pdf"))


def altered(path: Path, change: Callable[[pikepdf.Pdf], None]) -> Path:
    made = io.BytesIO()
    with pikepdf.open(path) as opened:
        change(opened)
        opened.save(made)
    path.write_bytes(made.getvalue())
    return path


def test_its_attachments_give_the_digest_that_is_printed_in_it(pdf: Path, printed: Path) -> None:
    digest = hashlib.sha256((printed / "SHA256SUMS").read_bytes()).hexdigest()
    found = verify(pdf)
    assert (found.changed, found.missing, found.extra, found.digest) == ({}, (), (), digest)
    document = pypdfium2.PdfDocument(pdf.read_bytes())
    try:
        cover, second = (document[number].get_textpage().get_text_range() for number in (0, 1))
    finally:
        document.close()
    assert digest in cover
    assert digest[:12] in second
    code, said = run(pdf, "--digest", digest)
    assert code == 0
    assert "Its printed pages were not" in said


def first(path: Path, *more: str) -> str:
    return run(path, *more)[1].splitlines()[0]


def test_the_first_line_says_that_the_printed_pages_were_not_compared(pdf: Path) -> None:
    """What stands outside of the attached files may be changed: no list is over it."""
    lead = "every file is as the lists name it, but the printed pages were NOT compared"
    assert first(pdf).endswith(f": {lead}.")
    with pdf.open("ab") as handle:
        handle.write(b"x")
    code, said = run(pdf)
    assert code == 0
    assert said.splitlines()[0].endswith(f": {lead}.")
    assert first(pdf, "--digest", "0" * 64).endswith(f": {lead}; the digest is NOT the one you typed.")


def test_a_printed_book_with_a_file_more_says_both(pdf: Path) -> None:
    def change(opened: pikepdf.Pdf) -> None:
        opened.attachments["more.csv"] = pikepdf.AttachedFileSpec(opened, b"x", filename="more.csv")

    lead = "every file of the book is the same; 1 file is there that no list names"
    assert first(altered(pdf, change)).endswith(f": {lead}, but the printed pages were NOT compared.")


def test_a_changed_table_is_named(pdf: Path) -> None:
    def change(opened: pikepdf.Pdf) -> None:
        name = "coating/climate.csv"
        opened.attachments[name] = pikepdf.AttachedFileSpec(opened, received()[name] + b"\n", filename=name)

    assert list(verify(altered(pdf, change)).changed) == ["evidence/received/coating/climate.csv"]
    assert run(pdf)[0] == 1


def test_missing_and_extra_attachments_are_named(pdf: Path) -> None:
    def change(opened: pikepdf.Pdf) -> None:
        del opened.attachments["hull.toml"]
        opened.attachments["more.csv"] = pikepdf.AttachedFileSpec(opened, b"x", filename="more.csv")
        opened.attachments["../out"] = pikepdf.AttachedFileSpec(opened, b"x", filename="../out")

    found = verify(altered(pdf, change))
    assert found.missing == ("evidence/received/hull.toml",)
    assert found.extra == (
        "evidence/received/../out (its name leads out of the folder)",
        "evidence/received/more.csv",
    )


@pytest.mark.parametrize("book_too", [False, True])
def test_records_and_list_changed_together_show_against_the_document_and_the_print(pdf: Path, book_too: bool) -> None:
    printed = verify(pdf).digest

    def change(opened: pikepdf.Pdf) -> None:
        name, data = "coating/climate.csv", received()["coating/climate.csv"] + b"\n"
        opened.attachments[name] = pikepdf.AttachedFileSpec(opened, data, filename=name)
        old, new = (hashlib.sha256(each).hexdigest().encode() for each in (received()[name], data))
        book = opened.attachments["book.json"].get_file().read_bytes()
        other = book.replace(old, new) if book_too else book
        sums = opened.attachments["SHA256SUMS"].get_file().read_bytes().replace(old, new)
        for given in (book, other):
            sums = sums.replace(hashlib.sha256(book).hexdigest().encode(), hashlib.sha256(given).hexdigest().encode())
        opened.attachments["book.json"] = pikepdf.AttachedFileSpec(opened, other, filename="book.json")
        opened.attachments["SHA256SUMS"] = pikepdf.AttachedFileSpec(opened, sums, filename="SHA256SUMS")

    found = verify(altered(pdf, change))
    assert found.changed.pop("the digest in the document's own data") == f"says {printed}"  # type: ignore[attr-defined]
    assert list(found.changed) == ([] if book_too else ["evidence/received/coating/climate.csv"])
    assert found.digest != printed
    assert run(pdf, "--digest", printed[:12])[0] == 1


def test_the_listing_sheet_and_other_documents_cannot_be_judged(printed: Path, tmp_path: Path) -> None:
    code, said = run(printed / BOOK.replace("book", "listing"))
    assert code == 2
    assert "only the printed book does" in said
    (tmp_path / "none.pdf").write_bytes(b"%PDF-1.7\nnothing\n")
    code, said = run(tmp_path / "none.pdf")
    assert code == 2
    assert "Traceback" not in said


def bomb(path: Path, size: int, *, twice: bool = False) -> None:
    """An attachment of `size` zeros, packed once or twice."""
    packing = zlib.compressobj(1)
    packed = b"".join(packing.compress(bytes(1 << 24)) for _ in range(size >> 24)) + packing.flush()
    if twice:
        packed = zlib.compress(packed)

    def change(opened: pikepdf.Pdf) -> None:
        names = ["/FlateDecode"] * (2 if twice else 1)
        opened.attachments["zeros"] = pikepdf.AttachedFileSpec(opened, b"x", filename="zeros")
        stream = opened.attachments["zeros"].get_file().obj
        stream.write(packed, filter=pikepdf.Array([pikepdf.Name(name) for name in names]))
        name, data = "SHA256SUMS", opened.attachments["SHA256SUMS"].get_file().read_bytes()
        sums = data + f"{'0' * 64}  evidence/received/zeros\n".encode()
        opened.attachments[name] = pikepdf.AttachedFileSpec(opened, sums, filename=name)

    made = io.BytesIO()
    with pikepdf.open(path) as opened:
        change(opened)
        opened.save(made, stream_decode_level=pikepdf.StreamDecodeLevel.none, compress_streams=False)
    path.write_bytes(made.getvalue())


@pytest.mark.slow
@pytest.mark.parametrize("twice", [False, True])
def test_a_bomb_is_summed_without_being_held(pdf: Path, twice: bool) -> None:
    bomb(pdf, 1 << 29, twice=twice)
    script = (
        "import re, sys; from pathlib import Path; from buildbook.seal.verify import verify;"
        "found = verify(Path(sys.argv[1]));"
        "print(list({**found.changed, **found.unreadable}),"
        " re.search(r'VmHWM:\\s+([0-9]+)', Path('/proc/self/status').read_text())[1])"
    )
    done = subprocess.run([sys.executable, "-c", script, str(pdf)], capture_output=True, text=True, check=True)
    names, _, peak = done.stdout.rpartition(" ")
    assert "evidence/received/zeros" in names
    assert int(peak) < 300_000, (
        "kB at most, of this program alone (what the system counts for a child holds its parent too)"
    )


@pytest.mark.slow
def test_a_document_that_asks_for_gigabytes_to_be_opened_is_refused_in_words(tmp_path: Path) -> None:
    """Objects kept in one packed stream of 2 GB, which a reader of PDFs unpacks before it can look at any of them."""
    packing = zlib.compressobj(1)
    head = b"1 0 "
    inner = packing.compress(head + b"<</Type/Catalog/Pages 9 0 R>>")
    inner += b"".join(packing.compress(b" " * (1 << 24)) for _ in range(128)) + packing.flush()
    body = b"%PDF-1.7\n"
    offsets = {5: len(body)}
    body += b"5 0 obj<</Type/ObjStm/N 1/First 4/Filter/FlateDecode/Length %d>>stream\n" % len(inner)
    body += inner + b"\nendstream endobj\n"
    start = len(body)
    entries = [(0, 0, 65535)] + [(0, 0, 0)] * 6
    entries[1], entries[5], entries[6] = (2, 5, 0), (1, offsets[5], 0), (1, start, 0)
    table = b"".join(
        bytes([kind]) + where.to_bytes(4, "big") + more.to_bytes(2, "big") for kind, where, more in entries
    )
    body += b"6 0 obj<</Type/XRef/Size 7/W[1 4 2]/Root 1 0 R/Length %d>>stream\n" % len(table)
    body += table + b"\nendstream endobj\nstartxref\n%d\n%%%%EOF\n" % start
    (tmp_path / "bomb.pdf").write_bytes(body)
    command = [sys.executable, "-m", "buildbook", "verify", str(tmp_path / "bomb.pdf")]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2, done.stdout + done.stderr
    assert "Traceback" not in done.stderr
    assert "memory" in done.stderr or "cannot be read" in done.stderr
