"""The stamp: on every page of the site and of both PDFs, exchanged without touching anything else."""

from __future__ import annotations

import hashlib
import io
import re
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
import zxingcpp

from buildbook.exports import differing
from buildbook.render.pdf_stamp import BOOK, exchanged, laid_on, strip
from buildbook.render.stamp import DRAFT, NotStamped, Stamp, claimed, element, stamped
from buildbook.seal.sign import sign
from tests.seal.conftest import IDENTITY, no_passphrase

NAME = "XX-EXY00007H526"
UNSIGNED = "Draft: nobody has signed this book."
SIGNED = Stamp(IDENTITY, "SHA256:" + "Ab3+/" * 8 + "xyz")


@pytest.fixture(scope="module")
def signed_print(printed: Path, keys: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = Path(shutil.copytree(printed, tmp_path_factory.mktemp("signed") / "out"))
    sign(out, keys("yard"), IDENTITY, no_passphrase, differing)
    return out


def page_texts(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(data)
    try:
        return [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    finally:
        document.close()


def test_every_page_of_a_draft_says_so_once(printed: Path) -> None:
    pages = sorted(printed.rglob("*.html"))
    assert len(pages) > 15
    for page in pages:
        assert page.read_bytes().count(UNSIGNED.encode()) == 1, page
        assert claimed(page.read_bytes()) == DRAFT, page
    for name in ("book", "listing"):
        assert {text.count(UNSIGNED) for text in page_texts((printed / f"{NAME}-{name}.pdf").read_bytes())} == {1}


def test_every_page_of_a_signed_book_names_who_signed(signed_print: Path) -> None:
    stamp = claimed((signed_print / "index.html").read_bytes())
    assert stamp is not None
    words = f"Signed by {IDENTITY}, key {stamp.fingerprint}; check it: see"
    for page in sorted(signed_print.rglob("*.html")):
        text = page.read_bytes().decode()
        assert UNSIGNED not in text, page
        assert text.count(f"Signed by {IDENTITY}") == 1, page
        (address,) = re.findall(r'see <a href="([^"#]*)#verify-signature">verify</a></aside>', text)
        assert (page.parent / address).resolve() == (signed_print / "verify.html").resolve()
    for name in ("book", "listing"):
        texts = page_texts((signed_print / f"{NAME}-{name}.pdf").read_bytes())
        assert {(text.count(f"{words} verify.html"), text.count(UNSIGNED)) for text in texts} == {(1, 0)}


def test_only_the_stamp_of_a_page_changes(printed: Path, signed_print: Path) -> None:
    for page in sorted(printed.rglob("*.html")):
        if page.name != "verify.html":
            now = (signed_print / page.relative_to(printed)).read_bytes()
            assert stamped(now, page.relative_to(printed).as_posix(), DRAFT) == page.read_bytes()


def test_a_page_without_its_one_stamp_is_refused() -> None:
    one = str(element(DRAFT, "index.html")).encode()
    assert stamped(one, "index.html", DRAFT) == one
    for page in (b"<p>none", one + one):
        with pytest.raises(NotStamped):
            stamped(page, "index.html", SIGNED)
        assert claimed(page) is None


def test_an_identity_is_escaped_in_pages() -> None:
    made = str(element(Stamp("<script>", SIGNED.fingerprint), "index.html"))
    assert "<script>" not in made


def without_stamp(data: bytes) -> list[tuple[bytes, ...]]:
    """The streams of each page but those that draw the stamp."""
    with pikepdf.open(io.BytesIO(data)) as pdf:
        return [tuple(stream.read_bytes() for stream in list(page.obj.Contents)[1:-1]) for page in pdf.pages]


def tags(root: pikepdf.Object) -> list[str]:
    """The kinds of all structure elements below one, in the order of the document."""
    found, waiting = [], [root]
    while waiting:
        one = waiting.pop()
        if isinstance(one, pikepdf.Array):
            waiting += reversed(list(one))
        elif isinstance(one, pikepdf.Dictionary):
            found += [str(one.S)] if "/S" in one else []
            waiting += [one.K] if "/K" in one else []
    return found


@pytest.mark.parametrize("name", ["book", "listing"])
def test_another_stamp_leaves_pages_tags_and_attachments_as_they_were(
    printed: Path, signed_print: Path, name: str
) -> None:
    before, after = ((out / f"{NAME}-{name}.pdf").read_bytes() for out in (printed, signed_print))
    assert without_stamp(before) == without_stamp(after)
    with pikepdf.open(io.BytesIO(before)) as old, pikepdf.open(io.BytesIO(after)) as new:
        assert tags(old.Root.StructTreeRoot) == tags(new.Root.StructTreeRoot) != []
        for one, other in zip(old.pages, new.pages, strict=True):
            assert one.obj.get("/StructParents") == other.obj.get("/StructParents")
            assert one.obj.Contents[-1].read_bytes() == other.obj.Contents[-1].read_bytes()
        assert {key: old.attachments[key].get_file().read_bytes() for key in old.attachments} == {
            key: new.attachments[key].get_file().read_bytes() for key in new.attachments
        }


def test_the_stamp_is_an_artifact_in_a_stream_of_its_own(printed: Path) -> None:
    with pikepdf.open(printed / f"{NAME}-book.pdf") as pdf:
        for page in pdf.pages:
            drawn = page.obj.Contents[-1].read_bytes()
            assert drawn.split()[:2] == [b"Q", b"/Artifact"]
            assert drawn.split().count(b"BDC") == drawn.split().count(b"EMC") == 1
            forms = {name: form for name, form in page.resources.XObject.items() if name.startswith("/BookSeal")}
            assert any(name.encode() in drawn for name in forms)
            for form in forms.values():
                assert b"MCID" not in form.read_bytes()


def test_stamping_is_the_same_every_time_and_can_be_undone(printed: Path) -> None:
    data = (printed / f"{NAME}-book.pdf").read_bytes()
    strip.cache_clear()
    once = exchanged(data, SIGNED)
    strip.cache_clear()
    assert exchanged(data, SIGNED) == once
    assert page_texts(exchanged(once, DRAFT)) == page_texts(data)
    assert len(once) < len(data) + 20_000, "the earlier stamp is not kept"
    assert exchanged(exchanged(once, DRAFT), SIGNED) == exchanged(exchanged(once, DRAFT), SIGNED)


def test_a_document_without_stamps_is_refused(tmp_path: Path) -> None:
    blank = pikepdf.new()
    blank.add_blank_page()
    made = io.BytesIO()
    blank.save(made)
    with pytest.raises(NotStamped, match="page 1 has no stamp"):
        exchanged(made.getvalue(), SIGNED)
    assert page_texts(laid_on(made.getvalue(), BOOK, SIGNED)) == [SIGNED.words]


@pytest.mark.parametrize("identity", ["a", "W" * 60, "quality.department@a-yard-with-a-long-name.example"])
def test_the_whole_stamp_is_on_the_strip_and_in_one_line(identity: str) -> None:
    stamp = Stamp(identity, SIGNED.fingerprint)
    document = pypdfium2.PdfDocument(strip(stamp, 482))
    try:
        assert len(document) == 1
        text = document[0].get_textpage()
        assert text.get_text_range().strip() == stamp.words
        left, low, right, high = (
            edge(text.get_charbox(at)[side] for at in range(text.count_chars()))
            for side, edge in ((0, min), (1, min), (2, max), (3, max))
        )
        width, height = document[0].get_size()
    finally:
        document.close()
    assert left >= 0
    assert right <= width
    assert low >= 0
    assert high <= height


@pytest.mark.parametrize("name", ["book", "listing"])
def test_the_stamp_touches_nothing_that_is_printed(printed: Path, name: str) -> None:
    """No sign of the page lies where the strip is, on any page, upright or broad."""
    data = (printed / f"{NAME}-{name}.pdf").read_bytes()
    document = pypdfium2.PdfDocument(data)
    try:
        for page in document:
            text = page.get_textpage()
            boxes = [(text.get_text_range(at, 1), text.get_charbox(at)) for at in range(text.count_chars())]
            height = page.get_size()[1]
            start, _ = text.search(UNSIGNED).get_next()
            stamp = [box for sign, box in boxes[start : start + len(UNSIGNED)] if sign.strip()]
            low, high = min(box[1] for box in stamp), max(box[3] for box in stamp)
            others = [box for sign, box in boxes if sign.strip() and box not in stamp]
            assert [box for box in others if box[3] > low and box[1] < high] == []
            assert high < height - 8, "a printer reaches it (common practice, no source: 3 mm)"
    finally:
        document.close()


@pytest.mark.slow
def test_stock_programs_find_no_error_and_only_shipped_families(signed_print: Path) -> None:
    for program, package in (("qpdf", "qpdf"), ("pdffonts", "poppler-utils")):
        if shutil.which(program) is None:
            pytest.skip(f"NOT RUN: stamps on PDFs: {program} is not installed; Debian package {package}")
    for name in ("book", "listing"):
        path = str(signed_print / f"{NAME}-{name}.pdf")
        assert subprocess.run(["qpdf", "--check", path], capture_output=True).returncode == 0
        rows = subprocess.run(["pdffonts", path], capture_output=True, text=True, check=True).stdout.splitlines()[2:]
        assert rows
        assert all(re.match(r"[A-Z]{6}\+IBM-Plex-(Sans|Serif)", row) for row in rows)
        assert all(row.split()[-5:-2] == ["yes", "yes", "yes"] for row in rows)


def test_the_code_on_cover_and_page_reads_as_the_digest(printed: Path) -> None:
    """Read by another program than the one that drew it."""
    digest = hashlib.sha256((printed / "SHA256SUMS").read_bytes()).hexdigest()
    document = pypdfium2.PdfDocument((printed / f"{NAME}-book.pdf").read_bytes())
    try:
        read = [code.text for code in zxingcpp.read_barcodes(document[0].render(scale=4).to_pil())]
    finally:
        document.close()
    assert read == [digest]
    page = (printed / "verify.html").read_text(encoding="utf-8")
    (drawn,) = re.findall(r'<svg [^>]*aria-label="QR code of the digest".*?</svg>', page, re.DOTALL)
    from weasyprint import HTML

    sheet = HTML(string=f"<style>@page {{ size: 100mm; margin: 5mm; }}</style>{drawn}").write_pdf()
    picture = pypdfium2.PdfDocument(sheet)
    try:
        read = [code.text for code in zxingcpp.read_barcodes(picture[0].render(scale=4).to_pil())]
    finally:
        picture.close()
    assert read == [digest]
