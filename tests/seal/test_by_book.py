"""What `book.json` says of documents, raw records and what is withheld is held against the files."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType

import pikepdf
import pytest

from buildbook.chapters import CHAPTERS
from buildbook.parcel.bag import held, write_bag
from buildbook.pipeline import make_book, write_book
from buildbook.render.place import Refused
from buildbook.render.sums import read_sums
from buildbook.seal.by_book import NOT_ORIGINAL
from buildbook.seal.verify import verify
from tests.demonstration import demonstration
from tests.parcel.small_hull import RAW, built, edit, small_hull
from tests.seal.test_verify_folder import flip, relisted, run
from tests.seal.test_verify_zip import sums

DOCUMENT, PHOTOGRAPH = "documents/VP-01.pdf", "photographs/1.png"
IN_PART = "evidence/in-part/coating/batches.csv"
ORIGINAL, DRAWING = "evidence/received/coating/batches.csv", "documents/DWG-201.png"
NOT_ITS_SUM = "not the sum that book.json gives"


def the_zip(out: Path) -> Path:
    return next(out.glob("*-evidence.zip"))


def digest_of(out: Path) -> str:
    return hashlib.sha256((out / "SHA256SUMS").read_bytes()).hexdigest()


def repacked(path: Path, more: Mapping[str, bytes] = MappingProxyType({}), /, **changes: bytes | None) -> None:
    """The same package with files changed, left out or put in, and both manifests written anew, as one who hides it."""
    with zipfile.ZipFile(path) as old:
        files = {name: old.read(name) for name in old.namelist()}
    top = next(iter(files)).partition("/")[0] + "/"
    for name, data in changes.items():
        assert f"{top}data/{name}" in files
        files[f"{top}data/{name}"] = data or b""
        if data is None:
            del files[f"{top}data/{name}"]
    files |= {f"{top}data/{name}": data for name, data in more.items()}
    plain = {name.removeprefix(top): data for name, data in files.items()}
    plain["manifest-sha256.txt"] = sums({name: data for name, data in plain.items() if name.startswith("data/")})
    tags = {name: data for name, data in plain.items() if not name.startswith(("data/", "tagmanifest"))}
    plain["tagmanifest-sha256.txt"] = sums(tags)
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in plain.items():
            made.writestr(f"{top}{name}", data)


def test_folder_and_package_with_something_withheld_are_whole(papers: Path) -> None:
    for path in (papers, the_zip(papers)):
        found = verify(path, digest_of(papers))
        assert (found.changed, found.missing, found.extra, found.unreadable) == ({}, (), (), {})
        assert (found.withheld, found.bad) == ((DRAWING, ORIGINAL), False)


def test_a_document_that_is_another_speaks_against_the_folder_though_its_list_was_written_anew(papers: Path) -> None:
    flip(papers / DOCUMENT, 100)
    relisted(papers, "SHA256SUMS.release")
    found = verify(papers, digest_of(papers))
    assert found.changed == {DOCUMENT: NOT_ITS_SUM}
    assert run(papers)[0] == 1


def test_a_photograph_that_is_another_speaks_against_the_folder_though_its_list_was_written_anew(out: Path) -> None:
    """The book holds the sum of the copy that is published, besides that of the original."""
    for photograph in demonstration().book.photographs:
        published = demonstration().pictures[photograph.out]
        assert hashlib.sha256(published).hexdigest() == photograph.out_sha256 != photograph.sha256
    flip(out / PHOTOGRAPH, 100)
    relisted(out, "SHA256SUMS.release")
    assert verify(out).changed == {PHOTOGRAPH: NOT_ITS_SUM}
    (out / PHOTOGRAPH).unlink()
    lines = (out / "SHA256SUMS.release").read_text("utf-8").splitlines(keepends=True)
    kept = "".join(line for line in lines if not line.endswith(f"  {PHOTOGRAPH}\n"))
    (out / "SHA256SUMS.release").write_text(kept, "utf-8")
    assert verify(out).missing == (PHOTOGRAPH,)


def test_a_document_that_was_taken_out_of_folder_and_list_is_missing(papers: Path) -> None:
    (papers / DOCUMENT).unlink()
    lines = (papers / "SHA256SUMS.release").read_text("utf-8").splitlines(keepends=True)
    kept = "".join(line for line in lines if not line.endswith(f"  {DOCUMENT}\n"))
    (papers / "SHA256SUMS.release").write_text(kept, "utf-8")
    assert verify(papers).missing == (DOCUMENT,)


@pytest.mark.parametrize("name", [DOCUMENT, f"raw/{RAW}"])
def test_a_document_or_raw_record_of_a_package_is_held_by_the_book(papers: Path, name: str) -> None:
    path = the_zip(papers)
    shutil.copy(path, papers.parent / "kept.zip")
    repacked(path, **{name: b"another"})
    (changed,) = verify(path, digest_of(papers)).changed.items()
    assert (changed[0].partition("/data/")[2], changed[1]) == (name, NOT_ITS_SUM)
    shutil.copy(papers.parent / "kept.zip", path)
    repacked(path, **{name: None})
    (missing,) = verify(path, digest_of(papers)).missing
    assert missing.partition("/data/")[2] == name


def test_what_no_digest_holds_in_a_package_is_named(papers: Path) -> None:
    with zipfile.ZipFile(the_zip(papers)) as package:
        names = [name.partition("/data/")[2] for name in package.namelist()]
    under = {*read_sums((papers / "SHA256SUMS").read_bytes()).by_name, "SHA256SUMS", ""}
    others = {name for name in names if not name.startswith(("documents/", "raw/"))} - under
    said = " ".join(run(the_zip(papers))[1].split())
    assert others
    for name in others:
        start = f"{name.partition('/')[0]}/" if "/" in name else name
        assert start in said, name


# What is withheld


def test_a_book_whose_data_cannot_be_used_confirms_nothing_as_withheld(papers: Path) -> None:
    flip(papers / "book.json", 50)
    found = verify(papers)
    assert list(found.changed) == ["book.json"]
    assert found.withheld == ()
    assert set(found.unreadable) == {ORIGINAL, DRAWING}
    assert run(papers)[0] == 1


def test_data_that_are_none_are_told_and_confirm_nothing(papers: Path) -> None:
    (papers / "book.json").write_text("[]", "utf-8")
    apart = [line for line in (papers / "SHA256SUMS").read_text("utf-8").splitlines() if line.startswith("#")]
    relisted(papers, "SHA256SUMS")
    with (papers / "SHA256SUMS").open("a", encoding="utf-8") as file:
        file.write("\n".join(apart) + "\n")
    relisted(papers, "SHA256SUMS.release")
    found = verify(papers)
    assert (set(found.unreadable), found.withheld) == ({"book.json", ORIGINAL, DRAWING}, ())
    package = the_zip(papers)
    assert list(found.changed) == [package.name], "the package beside it is that of the book as it was"
    package.unlink()
    lines = (papers / "SHA256SUMS.release").read_text("utf-8").splitlines(keepends=True)
    (papers / "SHA256SUMS.release").write_text("".join(it for it in lines if package.name not in it), "utf-8")
    assert not verify(papers).bad
    code, said = run(papers)
    assert code == 2
    assert "cannot be judged whole" in said


def put_in(out: Path, name: str, data: bytes, *, listed: bool) -> None:
    """Put a file into the folder and, with `listed`, into the list that only a signature holds."""
    (out / name).parent.mkdir(parents=True, exist_ok=True)
    (out / name).write_bytes(data)
    if listed and name not in read_sums((out / "SHA256SUMS.release").read_bytes()).by_name:
        with (out / "SHA256SUMS.release").open("a", encoding="utf-8") as file:
            file.write(f"{'0' * 64}  {name}\n")
    relisted(out, "SHA256SUMS.release")


@pytest.mark.parametrize("listed", [False, True])
def test_a_withheld_name_that_is_in_the_folder_is_held_to_the_original(papers: Path, small: Path, listed: bool) -> None:
    for name in (ORIGINAL, DRAWING):
        put_in(papers, name, b"forged", listed=listed)
    found = verify(papers, digest_of(papers))
    assert found.changed == {ORIGINAL: NOT_ORIGINAL, DRAWING: NOT_ORIGINAL}
    assert (found.withheld, found.given, found.extra, found.bad) == ((), (), (), True)
    for name in (ORIGINAL, DRAWING):
        put_in(papers, name, (small / "hull" / name.removeprefix("evidence/received/")).read_bytes(), listed=listed)
    found = verify(papers, digest_of(papers))
    assert (found.changed, found.withheld, found.extra, found.bad) == ({}, (), (), False)
    assert found.given == (DRAWING, ORIGINAL)
    said = run(papers)[1]
    assert "not given" not in said
    assert "Withheld by the builder and here: the original, by its sum in book.json (2)" in said


def test_a_link_under_a_withheld_name_is_not_followed(papers: Path, small: Path) -> None:
    (papers / DRAWING).symlink_to(small / "hull" / DRAWING)
    found = verify(papers)
    assert (found.withheld, found.given) == ((ORIGINAL,), ())
    assert found.extra == (f"{DRAWING} (a symbolic link, not a file)",)


def test_a_withheld_name_that_is_in_the_package_or_the_pdf_is_held_to_the_original(
    papers: Path, small: Path, tmp_path: Path
) -> None:
    right = (small / "hull/coating/batches.csv").read_bytes()
    for data in (b"forged", right):
        repacked(the_zip(papers), {ORIGINAL: data})
        pdf = hand_made(papers, tmp_path / "book.pdf", **{"coating/batches.csv": data})
        for path in (the_zip(papers), pdf):
            found = verify(path, digest_of(papers))
            (told,) = found.changed.items() if data != right else found.given and [(found.given[0], NOT_ORIGINAL)]
            assert (told[0].endswith(ORIGINAL), told[1]) == (True, NOT_ORIGINAL)
            assert (bool(found.changed), found.withheld, found.extra) == (data != right, (DRAWING,), ())


# The copy without a withheld column, attached to the printed book


def hand_made(out: Path, path: Path, **more: bytes) -> Path:
    """A PDF without a page that carries what the printed book carries, under the names that it has there."""
    sums_of = read_sums((out / "SHA256SUMS").read_bytes()).by_name
    files = {name.removeprefix("evidence/received/"): (out / name).read_bytes() for name in sums_of}
    files["SHA256SUMS"] = (out / "SHA256SUMS").read_bytes()
    made = io.BytesIO()
    with pikepdf.new() as pdf:
        for name, data in {**files, **more}.items():
            pdf.attachments[name] = pikepdf.AttachedFileSpec(pdf, data, filename=name)
        pdf.save(made)
    path.write_bytes(made.getvalue())
    return path


def test_a_pdf_with_a_copy_in_part_is_whole(papers: Path, tmp_path: Path) -> None:
    found = verify(hand_made(papers, tmp_path / "book.pdf"), digest_of(papers))
    assert (found.changed, found.missing, found.extra, found.bad) == ({}, (), (), False)
    assert found.withheld == (DRAWING, ORIGINAL)
    assert found.same == len(read_sums((papers / "SHA256SUMS").read_bytes()).by_name)


def test_a_changed_copy_in_part_is_named_by_its_place(papers: Path, tmp_path: Path) -> None:
    found = verify(hand_made(papers, tmp_path / "book.pdf", **{IN_PART: b"other"}))
    assert (list(found.changed), found.missing, found.extra) == ([IN_PART], (), ())


@pytest.mark.slow
def test_the_printed_book_of_a_hull_that_withholds_something_is_whole(tmp_path: Path) -> None:
    hull = small_hull(tmp_path / "hull")
    two = tuple(chapter for chapter in CHAPTERS if chapter.key in ("coating", "register"))
    written = write_book(make_book(hull, judged=two), hull, tmp_path / "out")  # what it holds attached is the same
    assert written.pdf
    found = verify(tmp_path / "out" / written.pdf, written.digest)
    assert (found.changed, found.missing, found.extra, found.bad) == ({}, (), (), False)
    assert found.withheld == (DRAWING, ORIGINAL)


# Names


@pytest.mark.parametrize("withheld", [False, True])
def test_a_raw_record_with_a_name_that_no_list_can_hold_is_refused_in_one_line(tmp_path: Path, withheld: bool) -> None:
    """Written, it would be told as a line that is none, and the untouched package would not be whole."""
    name = "vibration/raw/V1:R1.wav"
    hull = small_hull(tmp_path / "hull", f"withhold = [{json.dumps(name)}]" if withheld else "withhold = []")
    (hull / RAW).rename(hull / name)
    edit(hull / "vibration/records.csv", RAW, name)
    told = [fault for fault in make_book(hull).book.unusable if "No book can be built" in fault.effect]
    rows = {(fault.where.file, fault.where.line is not None) for fault in told}
    assert rows == {("vibration/records.csv", True), *([("hull.toml", True)] if withheld else [])}
    assert {fault.found for fault in told} == {f"'{name}'"}
    with pytest.raises(Refused, match=r"V1:R1\.wav' cannot be listed.*rename the file") as refused:
        built(hull, tmp_path / "out")
    assert "\n" not in str(refused.value)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["raw/V1:R1", "raw/V1\\R1", "raw/a\nb", "raw/../b", "/raw", "raw//b", "r\udc80", ""])
def test_no_package_holds_a_name_that_its_own_lists_do_not(name: str) -> None:
    with pytest.raises(Refused, match="cannot be listed"):
        write_bag("top", [held(name, b"")], [], io.BytesIO())


# The first list itself


def relisted_by(out: Path, change: Callable[[list[str]], list[str]]) -> None:
    lines = (out / "SHA256SUMS").read_text("utf-8").splitlines(keepends=True)
    (out / "SHA256SUMS").write_text("".join(change(lines)), "utf-8")
    relisted(out, "SHA256SUMS.release")


FREE = {
    "words": lambda lines: [*lines, "# 48213\n"],
    "a name that nobody withholds": lambda lines: [*lines, f"# {'0' * 64}  48213\n"],
    "whom to ask": lambda lines: [line.replace("; ask ", "; ask 48213 ") for line in lines],
    "the order": lambda lines: [lines[1], lines[0], *lines[2:]],
    "the order of what is withheld": lambda lines: [*lines[:-2], lines[-1], lines[-2]],
    "what is withheld first": lambda lines: [*lines[-3:], *lines[:-3]],
}


@pytest.mark.parametrize("what", FREE)
def test_the_first_list_leaves_no_room_for_a_counter(papers: Path, what: str) -> None:
    """`sha256sum -c` is content with each, and each gives another digest."""
    before, package = digest_of(papers), the_zip(papers).name
    found = verify(papers)
    assert (found.changed, found.missing, found.extra) == ({}, (), ())
    relisted_by(papers, FREE[what])
    assert digest_of(papers) != before
    changed = {name: why for name, why in verify(papers).changed.items() if not name.startswith(package)}
    assert "SHA256SUMS" in changed or "48213" in changed


def test_the_second_list_has_no_line_that_is_passed_over(papers: Path) -> None:
    with (papers / "SHA256SUMS.release").open("a", encoding="utf-8") as file:
        file.write(f"# {'0' * 64}  more.html\n")
    assert verify(papers).changed["SHA256SUMS.release"].startswith("no entry of a list in line ")
