"""Every command of the README and of the guide is run as it stands there, page by page, in the order of the page.

The hull is a small one cut from the demonstration, and no book is printed (other tests print): so a page takes seconds.
What people do between two commands stands in `MEANWHILE`.
"""

from __future__ import annotations

import hashlib
import re
import shlex
import shutil
import subprocess
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from typer.testing import CliRunner

from buildbook import pipeline
from buildbook.asked import BAD_NEWS, DONE
from buildbook.cli import app
from buildbook.pipeline import write_book
from tests.end_to_end.builds import demonstration
from tests.parcel.small_hull import HULL, small_hull

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parents[2]
GUIDE = ROOT / "docs" / "guide"
PAGES = [ROOT / "README.md", *sorted(GUIDE.glob("*.md"))]
SHOWN_DIGEST = "0f1e 2d3c 4b5a"  # stands in the pages for the one that the reader was given
OURS = re.compile(r"^(?:\.venv/bin/)?(buildbook .*?)(?:\s+#.*)?$")
BAD = ("buildbook check my-hull --strict",)  # ends with 1 on the small hull
SURVEY = ROOT / "demo_build" / "survey"
THEIRS = re.compile(r"^(ssh-keygen .*)$")


def commands_of(page: Path) -> list[str]:
    """The commands in the blocks of a page, fenced or set in by four spaces, without what is said beside them."""
    found: list[str] = []
    fenced = False
    for line in page.read_text(encoding="utf-8").splitlines():
        if line.startswith("```"):
            fenced = not fenced
        elif fenced or line.startswith("    "):
            match = OURS.match(line.strip()) or THEIRS.match(line.strip())
            found += [match[1]] if match else []
    return found


PAGES_WITH_COMMANDS = [page for page in PAGES if commands_of(page)]


def test_pages_that_walk_somebody_through_have_commands() -> None:
    named = {page.name for page in PAGES_WITH_COMMANDS}
    assert {"README.md", "yard.md", "broker.md", "surveyor.md", "check-a-book.md", "compare.md"} <= named


def test_a_command_in_running_words_stands_in_a_block_or_in_the_reference() -> None:
    """`buildbook something` in a sentence names a command that there is."""
    known = set(re.findall(r"^## `(.+)`$", (ROOT / "docs/reference/commands.md").read_text("utf-8"), re.MULTILINE))
    for page in [*PAGES, *sorted((ROOT / "docs/evidence").glob("*.md"))]:
        named = set(re.findall(r"`buildbook ([a-z]+)", page.read_text("utf-8")))
        assert named <= known, page.name


# --- what people do between the commands ----------------------------------------------------------------------------


def fill_the_folder(here: Path) -> None:
    """The small hull, and readings of gloss that a surveyor can repeat."""
    shutil.rmtree(here / "my-hull", ignore_errors=True)
    small_hull(here / "my-hull")
    shutil.copy(HULL / "coating" / "gloss.csv", here / "my-hull" / "coating" / "gloss.csv")


def read_gloss(here: Path, sheet: str = "sheet") -> None:
    """The surveyor writes down one reading, his instrument and the day."""
    hull = here / sheet / "hull.toml"
    hull.write_text(re.sub(r"^#\s*as_of = .*$", "as_of = 2026-07-08", hull.read_text("utf-8"), flags=re.M), "utf-8")
    for name in ("instruments.csv", "coating/gloss.csv"):
        shutil.copy(SURVEY / name, here / sheet / name)


MEANWHILE: dict[str, Callable[[Path], None]] = {
    "buildbook new my-hull": fill_the_folder,
    "buildbook remeasure my-hull -o sheet": read_gloss,
}


# --- the pages ------------------------------------------------------------------------------------------------------


def prepared(here: Path, page: Path, factory: pytest.TempPathFactory) -> None:
    """What somebody has who opens this page: the folder of the hull, and all that he was handed or made before."""
    fill_the_folder(here)
    for name in ("theme", "texts"):
        shutil.copytree(GUIDE / "example-face" / name, here / f"my-{name}")
    key = here / "my-key"
    typed(f"ssh-keygen -t ed25519 -f {key}")
    if page.name in ("README.md", "compare.md"):
        ran("buildbook remeasure my-hull -o survey")
        read_gloss(here, "survey")
    if page.name in ("broker.md", "surveyor.md", "check-a-book.md"):
        ran("buildbook build my-hull -o book")
        ran("buildbook sign book --key my-key --as quality@yard.example")
        public = key.with_suffix(".pub").read_text("utf-8")
        (here / "yards-key").write_text(f'quality@yard.example namespaces="buildbook-release" {public}', "utf-8")
    if page.name == "check-a-book.md":
        shutil.copy(next((here / "book").glob("*-evidence.zip")), here)
        shutil.copy(next(demonstration(factory).out.glob("*-book.pdf")), here)


def ran(command: str) -> str:
    """What a command of ours prints; it has to end well, or with bad news where it was asked for the status."""
    if SHOWN_DIGEST in command:
        command = command.replace(SHOWN_DIGEST, hashlib.sha256(Path("book/SHA256SUMS").read_bytes()).hexdigest()[:12])
    done = CliRunner().invoke(app, shlex.split(command)[1:])
    assert done.exit_code == (BAD_NEWS if command in BAD else DONE), (command, done.output)
    return done.output


def typed(command: str) -> None:
    """A program of the machine, with an empty passphrase where it would ask for one."""
    if shutil.which("ssh-keygen") is None:
        pytest.skip("NOT RUN: the guide: ssh-keygen is not installed; Debian package openssh-client")
    subprocess.run([*shlex.split(command), "-q", "-N", ""], check=True, capture_output=True)


@pytest.mark.parametrize("page", PAGES_WITH_COMMANDS, ids=lambda page: page.name)
def test_every_command_of_a_page_does_what_the_page_says(
    page: Path, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(pipeline, "write_book", partial(write_book, pdf=False))
    prepared(tmp_path, page, tmp_path_factory)
    for command in commands_of(page):
        if command.startswith("ssh-keygen"):
            typed(command)
            continue
        if command == "buildbook new my-hull":
            shutil.rmtree(tmp_path / "my-hull")
        said = ran(command)
        assert said.strip(), command
        MEANWHILE.get(command, lambda _: None)(tmp_path)


def test_the_digest_of_the_pages_is_held_against_the_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the pages show is invented: typed as it stands there, the command says that the book is another."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(pipeline, "write_book", partial(write_book, pdf=False))
    fill_the_folder(tmp_path)
    ran("buildbook build my-hull -o book")
    done = CliRunner().invoke(app, ["verify", "book", "--digest", SHOWN_DIGEST])
    assert done.exit_code == BAD_NEWS
