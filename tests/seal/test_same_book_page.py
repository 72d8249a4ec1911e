"""A surveyor who does what verify.html says, word for word, with the programs every machine has."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from collections.abc import Callable
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.seal.conftest import IDENTITY
from tests.seal.test_verify_folder import flip, listed

pytestmark = pytest.mark.slow
PROGRAMS = {"sha256sum": "coreutils", "ssh-keygen": "openssh-client", "unzip": "unzip"}


class Commands(HTMLParser):
    """The commands of a page: its code elements in the main part, but for those that only show a form."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: list[str] = []
        self._main = self._inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._main = self._main or tag == "main"
        if tag == "code" and self._main and dict(attrs).get("class") != "form":
            self._inside = True
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == "main":
            self._main = False
        if tag == "code":
            self._inside = False

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.found[-1] += data


def commands(out: Path) -> list[str]:
    return Commands((out / "verify.html").read_text(encoding="utf-8")).found


def done(out: Path, command: str) -> tuple[bool, str]:
    run = subprocess.run(["sh", "-c", command], cwd=out, capture_output=True, text=True, check=False)
    return run.returncode == 0, run.stdout + run.stderr


@pytest.fixture(autouse=True)
def programs() -> None:
    for program, package in PROGRAMS.items():
        if shutil.which(program) is None:
            pytest.skip(f"NOT RUN: what verify.html says: {program} is not installed; Debian package {package}")


@pytest.fixture
def book(signed: Path, allowed: Callable[..., Path]) -> Path:
    """A signed book with the reader's list of keys beside it, where the page tells him to keep it."""
    assert allowed("yard").parent == signed.parent
    return signed


def test_a_signed_book_passes_every_step(book: Path) -> None:
    told = commands(book)
    assert len(told) == 5
    compare, digest, besides, key, verify = told
    fine, said = done(book, compare)
    assert fine
    assert len(said.splitlines()) == len(listed(book))
    assert all(line.endswith(": OK") for line in said.splitlines())
    fine, said = done(book, digest)
    printed = re.findall(r'<p class="digest">([0-9a-f]{64})</p>', (book / "verify.html").read_text(encoding="utf-8"))
    assert fine
    assert said.split()[0] == printed[0] == hashlib.sha256((book / "SHA256SUMS").read_bytes()).hexdigest()
    assert done(book, besides) == (True, "SHA256SUMS.release\nSHA256SUMS.release.sig\n")
    fine, said = done(book, key)
    assert fine
    (fingerprint,) = re.findall(
        r'<p class="digest">(SHA256:\S+)</p>', (book / "verify.html").read_text(encoding="utf-8")
    )
    assert said.startswith("Good ")
    assert fingerprint in said
    fine, said = done(book, verify)
    assert fine
    assert f"for {IDENTITY}" in said


def test_one_flipped_byte_in_a_file_of_every_kind_is_named(book: Path) -> None:
    compare, *_ = commands(book)
    kinds = {Path(name).suffix or Path(name).name: name for name in listed(book) if name != "verify.html"}
    assert {".html", ".css", ".js", ".json", ".csv", ".toml", ".png", ".woff2", "SHA256SUMS", ".buildbook"} <= set(
        kinds
    )
    for name in kinds.values():
        flip(book / name, (book / name).stat().st_size // 2)
        fine, said = done(book, compare)
        assert not fine
        assert f"{name}: FAILED\n" in said
        flip(book / name, (book / name).stat().st_size // 2)
    assert done(book, compare)[0]


def test_a_changed_list_an_extra_and_a_missing_file_show(book: Path) -> None:
    compare, _, besides, key, verify = commands(book)
    (book / "more.html").write_text("x", encoding="utf-8")
    (book / "coverage.html").unlink()
    assert "coverage.html" in done(book, besides)[1]
    assert "more.html" in done(book, besides)[1]
    assert "coverage.html: FAILED open or read" in done(book, compare)[1]
    data = (book / "SHA256SUMS.release").read_bytes()
    for at in (0, len(data) // 2):
        flip(book / "SHA256SUMS.release", at)
        for command in (key, verify):
            fine, said = done(book, command)
            assert not fine
            assert "Could not verify" in said
        (book / "SHA256SUMS.release").write_bytes(data)


def test_a_draft_tells_no_step_that_cannot_be_done(out: Path) -> None:
    told = commands(out)
    assert len(told) == 3
    assert not any("ssh-keygen" in command for command in told)
    assert all(done(out, command)[0] for command in told)


def test_steps_for_windows_are_said_to_be_untested_and_use_what_it_ships(book: Path) -> None:
    """Nothing here can run them: the page says so, and each names a program that Windows has."""
    page = (book / "verify.html").read_text(encoding="utf-8")
    (part,) = re.findall(r'<details class="full" id="verify-windows">.*?</details>', page, re.DOTALL)
    assert "Not tested on Windows." in part
    codes = [unescape(code) for code in re.findall(r'<code class="form">(.*?)</code>', part, re.DOTALL)][1:]
    assert len(codes) == 4
    assert all(code.partition(" = ")[2].startswith("Get-") or code.lstrip("(").startswith("Get-") for code in codes)
    entry = (book / "SHA256SUMS").read_text(encoding="utf-8").splitlines()[0]
    assert entry[66:] in listed(book), "the commands take a name from its 67th character on"
    (signing,) = re.findall(r'<section id="verify-signature">.*?</section>', page, re.DOTALL)
    assert "Not tested on Windows." in signing


def test_the_package_beside_the_book_is_checked_as_told(tmp_path: Path) -> None:
    """The steps of the page for a book that has a package, on a small one in the agreed layout."""
    import zipfile

    from buildbook.core.face import PLAIN
    from buildbook.render.html import Facts, site
    from tests.sample_book import book, received
    from tests.seal.test_verify_zip import package

    files = package()
    digest = hashlib.sha256(files["XX-1-evidence/data/SHA256SUMS"]).hexdigest()
    facts = Facts(digest, received(), "", PLAIN, (), "XX-1-evidence.zip")
    pages = dict(site(book(), facts, lambda _: None))
    out = tmp_path / "out"
    out.mkdir()
    (out / "verify.html").write_text(pages["verify.html"], encoding="utf-8")
    with zipfile.ZipFile(out / "XX-1-evidence.zip", "w") as made:
        for name, data in files.items():
            made.writestr(name, data)
    unpack, compare, besides, sums = [command for command in commands(out) if "evidence-package" in command]
    assert done(out, unpack)[0]
    fine, said = done(out, compare)
    assert fine
    assert said.count(": OK") == len(files) - 1
    assert done(out, besides) == (True, "tagmanifest-sha256.txt\n")
    (tmp_path / "evidence-package" / "XX-1-evidence" / "data" / "approval.txt").write_text("x", encoding="utf-8")
    assert done(out, besides) == (True, "data/approval.txt\ntagmanifest-sha256.txt\n")
    assert done(out, sums)[1].split()[0] == digest
    record = tmp_path / "evidence-package" / "XX-1-evidence" / "data" / "evidence" / "received" / "hull.toml"
    flip(record)
    fine, said = done(out, compare)
    assert not fine
    assert "data/evidence/received/hull.toml: FAILED" in said
