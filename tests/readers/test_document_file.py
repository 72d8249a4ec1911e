"""Documents that may be published, and those that may not."""

from __future__ import annotations

import io

import pikepdf
import pytest

from buildbook.readers.document_file import publishable
from buildbook.readers.refused import Refused


def pdf(change=None, **how) -> bytes:
    """A PDF of one empty page."""
    made = io.BytesIO()
    with pikepdf.new() as held:
        held.add_blank_page()
        if change:
            change(held)
        held.save(made, **how)
    return made.getvalue()


def refused(data: bytes) -> str:
    with pytest.raises(Refused) as caught:
        publishable(data, "papers/x")
    assert caught.value.fault.where.file == "papers/x"
    return f"expected {caught.value.fault.expected}; found {caught.value.fault.found}"


def script(held: pikepdf.Pdf) -> None:
    held.Root.OpenAction = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.alert(1)")


def launch(held: pikepdf.Pdf) -> None:
    held.pages[0].obj.AA = pikepdf.Dictionary(O=pikepdf.Dictionary(S=pikepdf.Name.Launch, F="calc.exe"))


def test_a_plain_pdf_is_published_byte_for_byte() -> None:
    data = pdf()
    assert publishable(data, "x.pdf").data == data
    assert publishable(data, "x.pdf").ending == "pdf"


def test_a_pdf_that_runs_something_is_refused() -> None:
    assert "JavaScript" in refused(pdf(script))
    assert "Launch" in refused(pdf(launch))
    assert "JavaScript" in refused(pdf(script, object_stream_mode=pikepdf.ObjectStreamMode.generate))


def test_a_locked_pdf_is_refused() -> None:
    assert "locked with a password" in refused(pdf(encryption=pikepdf.Encryption(owner="a", user="b")))


def test_a_damaged_pdf_is_refused() -> None:
    assert "cannot be read" in refused(b"%PDF-1.7\nnothing")


@pytest.mark.parametrize("data", [b"<svg xmlns='http://www.w3.org/2000/svg'/>", b'<?xml version="1.0"?>\n<SVG></SVG>'])
def test_svg_is_refused(data: bytes) -> None:
    assert "SVG" in refused(data)


@pytest.mark.parametrize("data", [b"", b"hello", b"PK\x03\x04", b"MZ\x90", b"<html><script>1</script></html>"])
def test_anything_else_is_refused(data: bytes) -> None:
    assert "a document as PDF, PNG, JPEG or WebP" in refused(data)


def test_a_large_file_is_refused() -> None:
    assert "at most 20 MB" in refused(b"%PDF-" + b"0" * 20_000_001)
