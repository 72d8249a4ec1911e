"""Pages are under no digest; made a second time from the data, a forged one is named though every list fits."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.core.shown_units import ShownUnits
from buildbook.exports import differing
from buildbook.pages import differing_pages
from buildbook.parcel.first_text import first_text
from buildbook.pipeline import make_book, write_book
from buildbook.render.jsonfile import book_json
from buildbook.render.place import Refused
from buildbook.seal.sign import sign
from buildbook.seal.verify import Checked, verify
from tests.parcel.small_hull import small_hull
from tests.seal.conftest import IDENTITY, no_passphrase
from tests.seal.test_by_book import the_zip
from tests.seal.test_edition import LABEL, other_info
from tests.seal.test_verify_folder import relisted, run

UNASKED = "nothing in book.json says that it belongs here"


def checked(out: Path) -> Checked:
    return verify(out, derived=differing, pages=differing_pages)


def swapped(out: Path, name: str, before: bytes, after: bytes) -> None:
    """Words of a page changed and the list of the release written anew."""
    data = (out / name).read_bytes()
    assert before in data, name
    (out / name).write_bytes(data.replace(before, after, 1))
    relisted(out, "SHA256SUMS.release")


def listed_too(out: Path, name: str) -> None:
    """A file put into the list of the release."""
    with (out / "SHA256SUMS.release").open("a", encoding="utf-8") as file:
        file.write(f"{hashlib.sha256((out / name).read_bytes()).hexdigest()}  {name}\n")


def test_an_untouched_book_is_the_same_with_its_pages(papers: Path) -> None:
    found = checked(papers)
    assert (found.changed, found.missing, found.extra, dict(found.otherwise)) == ({}, (), (), {})
    assert (found.pages_compared, found.pages_not, found.bad) == (True, "", False)


def test_forged_pages_are_named_by_the_command_that_is_asked_for_them(papers: Path) -> None:
    swapped(papers, "coating.html", b">no record<", b">pass<")
    swapped(papers, "style/verdict.css", b"{", b"{ display: none;")
    swapped(papers, "style/book.js", b"\n", b"\n;")
    swapped(papers, "book.schema.json", b'"Book"', b'"Look"')
    page = (papers / "sources.html").read_bytes()
    (papers / "certificate.html").write_bytes(page)
    listed_too(papers, "certificate.html")
    code, said = run(papers)
    assert code == 0
    assert "Pages were not compared with the data" in said
    code, said = run(papers, "--pages")
    assert code == 1
    assert f"  certificate.html: {UNASKED}" in said
    (line,) = [line for line in said.splitlines() if line.startswith("  coating.html: line ")]
    found, _, expected = line.partition(", expected ")
    assert ("found '" in found, ">pass<" in found, "no record" in expected) == (True, True, True)
    changed = checked(papers).changed
    assert set(changed) == {
        "certificate.html",
        "coating.html",
        "style/verdict.css",
        "style/book.js",
        "book.schema.json",
    }


@pytest.mark.slow
def test_a_page_that_was_taken_out_of_folder_and_list_is_missing(papers: Path) -> None:
    name = "exceptions.html"
    (papers / name).unlink()
    lines = (papers / "SHA256SUMS.release").read_text("utf-8").splitlines(keepends=True)
    kept = "".join(line for line in lines if not line.endswith(f"  {name}\n"))
    (papers / "SHA256SUMS.release").write_text(kept, "utf-8")
    assert (verify(papers).missing, checked(papers).missing) == ((), (name,))


@pytest.mark.slow
def test_pages_of_a_signed_book_are_held_with_their_stamp(papers: Path, keys: Callable[..., Path]) -> None:
    sign(papers, keys("yard"), IDENTITY, no_passphrase, differing)
    found = checked(papers)
    assert (found.changed, found.pages_compared, found.bad) == ({}, True, False)
    swapped(papers, "coverage.html", b"</h1>", b".</h1>")
    assert set(checked(papers).changed) == {"coverage.html"}


def test_a_forged_page_is_not_signed(papers: Path, keys: Callable[..., Path]) -> None:
    swapped(papers, "coverage.html", b"</h1>", b".</h1>")
    done = CliRunner().invoke(app, ["sign", str(papers), "--key", str(keys("yard")), "--as", IDENTITY])
    assert (done.exit_code, "not as it was built (coverage.html)" in done.output) == (2, True)
    assert not (papers / "SHA256SUMS.release.sig").exists()


@pytest.mark.slow
def test_where_it_is_not_known_which_program_wrote_it_a_page_is_not_judged(papers: Path) -> None:
    swapped(papers, "coverage.html", b"</h1>", b".</h1>")
    other_info(papers, LABEL, f"{LABEL}0")
    found = checked(papers)
    assert (found.changed, set(found.otherwise), found.bad) == ({}, {"coverage.html"}, False)
    code, said = run(papers, "--pages")
    assert code == 2
    assert "this edition of the program makes 1 file otherwise" in said.splitlines()[0]


def test_another_version_and_a_changed_book_are_said_not_to_be_compared(papers: Path, draft: Path) -> None:
    (papers / "book.json").write_bytes((papers / "book.json").read_bytes() + b"\n")
    assert checked(papers).pages_not.startswith("book.json is not the one that the first list names")
    shutil.rmtree(papers)
    shutil.copytree(draft, papers)
    assert run(papers)[0] == 0
    code, said = run(papers, "--pages")
    assert code == 2, "pages were asked for and not compared"
    assert "the pages were NOT compared with the data (buildbook 0.0.0 made them" in said.splitlines()[0]


@pytest.mark.slow
def test_pages_of_a_book_with_its_printed_form_are_held(
    printed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The listing page names pages of the printed book. Without a package nobody knows which program wrote it."""
    monkeypatch.setattr("buildbook.exports.__version__", "0.0.0")
    out = Path(shutil.copytree(printed, tmp_path / "out"))
    found = checked(out)
    assert (found.changed, found.missing, dict(found.otherwise), found.pages_not) == ({}, (), {}, "")
    assert found.pages_compared
    (listing,) = out.glob("*-listing.html")
    swapped(out, listing.name, b"</h1>", b".</h1>")
    assert (set(checked(out).otherwise), checked(out).changed) == ({listing.name}, {})


@pytest.mark.parametrize("data", [b"%PDF-1.4 garbage", b"no names"])
@pytest.mark.slow
def test_a_printed_book_that_is_none_is_named_and_nothing_is_called_compared(
    papers: Path, keys: Callable[..., Path], data: bytes
) -> None:
    """Put in with a list written anew; the command does not break, and nobody signs it."""
    name = the_zip(papers).name.replace("-evidence.zip", "-book.pdf")
    if data == b"no names":
        with pikepdf.new() as pdf:
            pdf.add_blank_page()
            pdf.Root.Names = pikepdf.Dictionary()
            pdf.save(papers / name)
    else:
        (papers / name).write_bytes(data)
    listed_too(papers, name)
    found = checked(papers)
    assert (set(found.unreadable), found.pages_compared) == ({name}, False)
    code, said = run(papers, "--pages")
    assert code == 2
    assert "the pages were NOT compared with the data" in said.splitlines()[0]
    with pytest.raises(Refused, match=name):
        sign(papers, keys("yard"), IDENTITY, no_passphrase, differing, differing_pages)


def test_pages_that_could_not_be_compared_are_not_signed(out: Path, keys: Callable[..., Path]) -> None:
    """A book by another version, without a package: its list alone holds every page."""
    with pytest.raises(Refused, match="pages could not be compared"):
        sign(out, keys("yard"), IDENTITY, no_passphrase, differing, differing_pages)
    assert not (out / "SHA256SUMS.release.sig").exists()


@pytest.mark.slow
def test_a_file_that_no_list_names_is_told_once(papers: Path) -> None:
    (papers / "notes.txt").write_text("x", "utf-8")
    found = checked(papers)
    assert (found.extra, found.changed, found.pages_compared) == (("notes.txt",), {}, True)
    code, said = run(papers)
    assert (code, said.count("notes.txt")) == (1, 1)
    assert said.splitlines()[0].endswith(": every file of the book is the same; 1 file is there that no list names.")


def test_only_a_folder_has_pages(papers: Path) -> None:
    code, said = run(the_zip(papers), "--pages")
    assert (code, "only the folder of a book has pages" in said) == (2, True)


def test_an_excerpt_begins_shortly_before_what_differs() -> None:
    line = "a" * 100 + "{}" + "b" * 100
    told = first_text(line.format("4.2").encode(), line.format("9.2").encode())
    assert told.startswith(f"line 1: found '…{'a' * 20}9.2b")
    assert first_text(b"a\n", b"a") == "line 2: found none, expected ''"
    assert first_text(b"a", b"a") == ""


@pytest.mark.slow
def test_a_book_in_us_units_is_made_again_from_data_in_those_of_the_columns(tmp_path: Path) -> None:
    folder, out = small_hull(tmp_path / "hull"), tmp_path / "book"
    made = make_book(folder, shown=ShownUnits.US)
    write_book(made, folder, out, pdf=False)
    assert b" ft from the transom" in (out / "index.html").read_bytes()
    assert (out / "book.json").read_bytes().count(b'"shown":"us"') == 1
    found = checked(out)
    assert (found.changed, found.missing, found.extra, found.pages_compared) == ({}, (), (), True)
    data = (out / "book.json").read_bytes()
    assert data.replace(b'"shown":"us"', b'"shown":"metric"') == book_json(make_book(folder).book)
