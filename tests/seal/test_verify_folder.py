"""A folder: what changed, what is missing and what is extra are three separate messages, and the digest is compared."""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook.cli import app
from buildbook.render.stamp import Stamp, element
from buildbook.render.sums import read_sums, withheld_lines
from buildbook.seal.holder import CannotJudge
from buildbook.seal.verify import verify

TABLE = "evidence/received/coating/climate.csv"


def run(*words: str | Path) -> tuple[int, str]:
    done = CliRunner().invoke(app, ["verify", *map(str, words)])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def flip(path: Path, at: int = 0) -> None:
    data = bytearray(path.read_bytes())
    data[at] ^= 1
    path.write_bytes(data)


def listed(out: Path) -> list[str]:
    names: list[str] = []
    for name in ("SHA256SUMS", "SHA256SUMS.release"):
        names += read_sums((out / name).read_bytes()).by_name
    return names


def relisted(out: Path, *lists: str) -> None:
    """Write lists anew, as somebody would who hides a change."""
    for name in lists:
        names = read_sums((out / name).read_bytes()).by_name
        lines = [f"{hashlib.sha256((out / one).read_bytes()).hexdigest()}  {one}\n" for one in names]
        (out / name).write_text("".join(lines), encoding="utf-8")


def test_an_unchanged_book_is_the_same_and_says_what_that_shows(out: Path) -> None:
    digest = hashlib.sha256((out / "SHA256SUMS").read_bytes()).hexdigest()
    code, said = run(out)
    assert code == 0
    assert f"0 changed, 0 missing, 0 extra, {len(listed(out))} the same" in said
    assert f"Digest {digest}" in said
    for words in ("nobody has signed", "What this shows", "What it does not show: that a reading is true", "elsewhere"):
        assert words in said


def test_one_flipped_byte_in_any_listed_file_is_named(out: Path) -> None:
    names = listed(out)
    assert len(names) > 30
    for name in names:
        kept = (out / name).read_bytes()
        for at in (0, len(kept) // 2, len(kept) - 1):
            flip(out / name, at)
            assert name in verify(out).changed, (name, at)
            (out / name).write_bytes(kept)
    assert not verify(out).bad


def test_changed_missing_and_extra_are_told_apart(out: Path) -> None:
    flip(out / TABLE)
    (out / "coverage.html").unlink()
    (out / "evidence" / "more.csv").write_text("a\n", encoding="utf-8")
    found = verify(out)
    assert list(found.changed) == [TABLE]
    assert found.missing == ("coverage.html",)
    assert found.extra == ("evidence/more.csv",)
    code, said = run(out)
    assert code == 1
    assert "NOT the book that was written" in said.splitlines()[0]
    assert said.index("Changed (1)") < said.index(TABLE) < said.index("Missing (1)") < said.index("coverage.html")
    assert said.index("coverage.html") < said.index("Extra") < said.index("evidence/more.csv")


def test_records_and_lists_written_anew_show_against_the_printed_digest_only(out: Path) -> None:
    printed = hashlib.sha256((out / "SHA256SUMS").read_bytes()).hexdigest()
    assert run(out, "--digest", printed)[0] == 0
    before = hashlib.sha256((out / TABLE).read_bytes()).hexdigest()
    (out / TABLE).write_bytes((out / TABLE).read_bytes() + b"\n")
    relisted(out, "SHA256SUMS", "SHA256SUMS.release")
    assert verify(out).changed == {TABLE: "not the sum that book.json gives"}
    after = hashlib.sha256((out / TABLE).read_bytes()).hexdigest()
    data = (out / "book.json").read_text(encoding="utf-8")
    assert before in data
    (out / "book.json").write_text(data.replace(before, after), encoding="utf-8")
    relisted(out, "SHA256SUMS", "SHA256SUMS.release")
    assert run(out)[0] == 0, "lists that were written anew fit: only the digest tells"
    for typed in (printed, printed.upper(), f" {printed[:12]} ", " ".join(printed[at : at + 4] for at in (0, 4, 8))):
        code, said = run(out, "--digest", typed)
        assert code == 1
        assert "It is NOT" in said


def test_a_digest_that_cannot_be_one_is_told(out: Path) -> None:
    code, said = run(out, "--digest", "12ab")
    assert code == 2
    assert "these are 4" in said


def test_what_the_builder_withholds_is_told_as_withheld(out: Path) -> None:
    """A line that `sha256sum -c` passes over names it, and book.json says so with the same sum."""
    data = json.loads((out / "book.json").read_bytes())
    sums = dict(read_sums((out / "SHA256SUMS").read_bytes()).by_name)
    kept = sums.pop(TABLE)
    apart = withheld_lines([("the yard", kept, TABLE)]).decode()
    (out / TABLE).unlink()
    assert verify(out).missing == (TABLE,), "named as given: missing"
    (out / "SHA256SUMS").write_text(_listed(sums) + apart, encoding="utf-8")
    _list_release(out)
    found = verify(out)
    assert list(found.changed) == [TABLE], "the list alone cannot take a record out of the book"
    data["withheld"] = [{"file": "coating/climate.csv", "name": TABLE, "sha256": kept, "ask": "the yard"}]
    (out / "book.json").write_text(json.dumps(data), encoding="utf-8")
    sums["book.json"] = hashlib.sha256((out / "book.json").read_bytes()).hexdigest()
    (out / "SHA256SUMS").write_text(_listed(sums) + apart, encoding="utf-8")
    _list_release(out)
    found = verify(out)
    assert (found.missing, found.withheld, found.bad) == ((), (TABLE,), False)
    code, said = run(out)
    assert code == 0
    assert "Withheld by the builder" in said


def _listed(sums: Mapping[str, str]) -> str:
    return "".join(f"{value}  {name}\n" for name, value in sums.items())


def _list_release(out: Path) -> None:
    """Write the second list anew, as somebody would who has changed something and hides it."""
    names = read_sums((out / "SHA256SUMS.release").read_bytes()).by_name
    sums = {name: hashlib.sha256((out / name).read_bytes()).hexdigest() for name in names}
    (out / "SHA256SUMS.release").write_text(_listed(sums), encoding="utf-8")


def test_without_one_list_its_absence_is_told_and_nobody_guesses_what_is_extra(out: Path) -> None:
    (out / "SHA256SUMS").unlink()
    found = verify(out)
    assert found.missing == ("SHA256SUMS",)
    assert (found.digest, found.extra, found.extras_told) == ("", (), False)
    code, said = run(out)
    assert code == 1
    assert "it cannot be said which files are extra" in said


def test_a_list_with_bad_lines_is_named_and_the_rest_is_still_compared(out: Path) -> None:
    data = (out / "SHA256SUMS.release").read_bytes()
    (out / "SHA256SUMS.release").write_bytes(b"0" * 64 + b"  ../../etc/passwd\n" + data + b"rubbish\n")
    flip(out / "index.html")
    found = verify(out)
    assert found.changed["SHA256SUMS.release"] == f"no entry of a list in line 1, {data.count(10) + 2}"
    assert "index.html" in found.changed
    assert found.missing == ()


@pytest.mark.parametrize("kind", ["empty", "foreign", "absent", "link", "garbage", "text"])
def test_what_is_no_book_cannot_be_judged(tmp_path: Path, out: Path, kind: str) -> None:
    place = tmp_path / kind
    if kind in ("empty", "foreign"):
        place.mkdir()
    if kind == "foreign":
        (place / "index.html").write_text("<p>hello", encoding="utf-8")
    if kind == "link":
        place.symlink_to(out)
    if kind == "garbage":
        place = out
        (out / "SHA256SUMS").write_bytes(os.urandom(4000))
    if kind == "text":
        place.write_text("I am a text", encoding="utf-8")
    code, said = run(place)
    assert code == 2
    assert "Traceback" not in said
    assert len(said.strip().splitlines()) == 1


def test_symbolic_links_and_pipes_are_named_and_never_followed(out: Path, tmp_path: Path) -> None:
    kept = (out / "index.html").read_bytes()
    (tmp_path / "elsewhere.html").write_bytes(kept)  # the very same bytes
    (out / "index.html").unlink()
    (out / "index.html").symlink_to(tmp_path / "elsewhere.html")
    (out / "loop").symlink_to(out)
    os.mkfifo(out / "pipe")  # to open it would wait for ever
    found = verify(out)
    assert found.changed == {"index.html": "a symbolic link, not a file"}
    assert found.extra == ("loop (a symbolic link, not a file)", "pipe (not a plain file)")


def test_a_folder_of_the_book_that_is_a_link_hides_nothing(out: Path, tmp_path: Path) -> None:
    (out / "evidence").rename(tmp_path / "moved")
    (out / "evidence").symlink_to(tmp_path / "moved")
    found = verify(out)
    assert TABLE in found.missing
    assert "evidence (a symbolic link, not a file)" in found.extra


def test_a_file_that_cannot_be_read_is_not_judged(out: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As the system refuses it to a user who may not read it; whoever runs this test may be allowed everything."""
    really = os.open

    def refused(path: Path, *more: int) -> int:
        if Path(path) == out / "index.html":
            raise PermissionError(13, "Permission denied")
        return really(path, *more)

    monkeypatch.setattr(os, "open", refused)
    found = verify(out)
    assert found.unreadable == {"index.html": "Permission denied"}
    assert not found.bad
    code, said = run(out)
    assert code == 2
    assert "cannot be judged whole" in said


def test_a_name_that_would_command_the_terminal_is_printed_harmless(out: Path) -> None:
    (out / "a\x1b[2Jb").write_text("x", encoding="utf-8")
    code, said = run(out)
    assert code == 1
    assert "\x1b" not in said
    assert "  a\\x1b[2Jb" in said.splitlines()


def test_data_that_no_reader_should_parse_do_not_stop_it(out: Path) -> None:
    (out / "book.json").write_text("[" * 100_000, encoding="utf-8")
    relisted(out, "SHA256SUMS", "SHA256SUMS.release")
    assert not verify(out).bad


def test_a_list_larger_than_any_is_not_read(out: Path) -> None:
    with (out / "SHA256SUMS").open("wb") as file:
        file.truncate(1 << 30)
    with pytest.raises(CannotJudge, match="larger than 16 MB"):
        verify(out)


# What its pages say of who signed it

STAMP = b'<aside class="seal" aria-label="Who vouches for this book">Draft: nobody has signed this book.</aside>'
SIGNED = STAMP.replace(b"Draft: nobody has signed this book.", b"Signed by the yard.")


@pytest.mark.parametrize("name", ["index.html", "coverage.html", "evidence/index.html"])
@pytest.mark.parametrize(
    "instead",
    [b"", STAMP * 2, SIGNED, STAMP.replace(b"has signed this book.", b"has signed this book. But see below.")],
)
def test_a_page_without_its_one_stamp_or_with_an_odd_one_speaks_against_the_book(
    out: Path, name: str, instead: bytes
) -> None:
    page = (out / name).read_bytes()
    assert page.count(STAMP) == 1
    (out / name).write_bytes(page.replace(STAMP, instead))
    relisted(out, "SHA256SUMS.release")
    found = verify(out)
    assert list(found.changed) == [name]
    assert "says who signed" in found.changed[name]
    code, said = run(out)
    assert code == 1
    assert ("Draft: nobody has signed" in said) == (name != "index.html")


def test_a_page_that_names_a_signer_in_a_draft_speaks_against_the_book(out: Path) -> None:
    key = "SHA256:" + "A" * 43
    other = str(element(Stamp("quality@yard.example", key), "coverage.html")).encode()
    page = (out / "coverage.html").read_bytes()
    (out / "coverage.html").write_bytes(page.replace(STAMP, other))
    relisted(out, "SHA256SUMS.release")
    found = verify(out)
    assert found.changed == {"coverage.html": "it does not say of who signed the book what the first page says"}


def test_a_page_that_still_says_draft_in_a_signed_book_speaks_against_it(signed: Path, out: Path) -> None:
    (signed / "coverage.html").write_bytes((out / "coverage.html").read_bytes())
    relisted(signed, "SHA256SUMS.release")
    assert list(verify(signed).changed) == ["coverage.html"]


# What the page about checking says


def page(out: Path) -> str:
    return " ".join((out / "verify.html").read_text("utf-8").split())


def test_the_page_says_first_what_can_be_done_without_a_computer(out: Path) -> None:
    main = page(out).partition("<main")[2]
    by_eye, _, by_computer = main.partition('id="verify-how"')
    assert 'id="verify-eye"' in by_eye
    assert "terminal" not in by_eye
    assert "sha256sum" not in by_eye
    assert "It does not show that the files are unchanged" in by_eye
    assert "Open a terminal" in by_computer


def test_a_site_without_a_printed_book_speaks_of_none(out: Path) -> None:
    main = page(out).partition("<main")[2].partition("</main>")[0]
    assert [word for word in ("printed", "cover", "PDF") if word in main] == []
    assert "evidence package" not in main


def test_a_site_with_a_printed_book_speaks_of_its_cover(printed: Path) -> None:
    main = page(printed).partition("<main")[2].partition("</main>")[0]
    assert "It is printed on the cover of the printed book" in main
    assert "the cover of a printed book, from a letter or the contract" in main
