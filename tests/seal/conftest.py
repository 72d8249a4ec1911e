"""A small signed book, a key made by the stock program, and copies to spoil."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from buildbook.exports import differing
from buildbook.render.package import write
from buildbook.seal.sign import sign
from tests.parcel.small_hull import built, small_hull
from tests.sample_book import book, received

IDENTITY = "quality@yard.example"


def no_passphrase() -> str:
    raise AssertionError("an unlocked key needs no passphrase")


@pytest.fixture(scope="session")
def draft(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The synthetic book without its printed form, unsigned. Never changed: tests copy it."""
    out = tmp_path_factory.mktemp("draft") / "out"
    write(book(), received(), out, pdf=False)
    return out


@pytest.fixture(scope="session")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The synthetic book with its PDFs, unsigned. Never changed: tests copy it."""
    out = tmp_path_factory.mktemp("printed") / "out"
    write(book(), received(), out)
    return out


@pytest.fixture(scope="session")
def keys(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Keys by stock ssh-keygen: `keys("name")` is an Ed25519 key without a passphrase, made once."""
    program = shutil.which("ssh-keygen")
    if program is None:
        pytest.skip("NOT RUN: signatures: ssh-keygen is not installed; Debian package openssh-client")
    folder = tmp_path_factory.mktemp("keys")

    def make(name: str, kind: str = "ed25519", passphrase: str = "") -> Path:
        path = folder / name
        if not path.exists():
            command = [program, "-q", "-t", kind, "-N", passphrase, "-C", "someone@a-machine", "-f", str(path)]
            subprocess.run(command, check=True, capture_output=True)
        return path

    return make


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small hull with documents, a raw record and something withheld: its folder and its output, not printed."""
    folder = tmp_path_factory.mktemp("small")
    built(small_hull(folder / "hull"), folder / "out")
    return folder


@pytest.fixture
def papers(small: Path, tmp_path: Path) -> Path:
    """A copy of the output of the small hull."""
    return Path(shutil.copytree(small / "out", tmp_path / "papers"))


@pytest.fixture
def out(draft: Path, tmp_path: Path) -> Path:
    """A copy of the unsigned book."""
    return Path(shutil.copytree(draft, tmp_path / "out"))


@pytest.fixture(scope="session")
def signed_once(draft: Path, keys: Callable[..., Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = Path(shutil.copytree(draft, tmp_path_factory.mktemp("signed") / "out"))
    sign(out, keys("yard"), IDENTITY, no_passphrase, differing)
    return out


@pytest.fixture
def signed(signed_once: Path, tmp_path: Path) -> Path:
    """A copy of the signed book."""
    return Path(shutil.copytree(signed_once, tmp_path / "signed"))


@pytest.fixture
def allowed(keys: Callable[..., Path], tmp_path: Path) -> Callable[..., Path]:
    """Lists of keys as a reader keeps them: `allowed("yard")` allows that key to the identity of the book."""

    def make(name: str, identity: str = IDENTITY, options: str = 'namespaces="buildbook-release" ') -> Path:
        kind, key, *_ = keys(name).with_suffix(".pub").read_text(encoding="utf-8").split()
        path = tmp_path / "allowed_signers"
        path.write_text(f"# keys I trust\n\n{identity} {options}{kind} {key}\n", encoding="utf-8")
        return path

    return make
