"""Putting an output folder in place: killed at any moment, twice at once, on a disk that is full."""

from __future__ import annotations

import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from buildbook.render.place import MARKER, MARKER_START, Refused, put, restored
from tests.no_pdf import NO_PDF

OLD = {f"page{number}.html": b"old" * 1000 for number in range(20)} | {MARKER: MARKER_START.encode()}
NEW = {f"sheet{number}.html": b"new" * 1000 for number in range(30)} | {MARKER: MARKER_START.encode()}

# Puts a folder in place and kills itself before a given call of the operating system, counted over all of them.
KILLED = """
import os, signal, sys
from pathlib import Path
from buildbook.render.place import put
out, at, mark, count = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3], 0

def watched(event, values):
    global count
    if event in ("os.mkdir", "open", "os.rename", "os.remove", "os.rmdir") and "being-written" in str(values):
        count += 1
        if count == at:
            os.kill(os.getpid(), signal.SIGKILL)

content = {name: b"new" * 1000 for name in (f"sheet{number}.html" for number in range(30))}
content[".buildbook"] = mark.encode()
sys.addaudithook(watched)
put(content, out)
print(count)
"""


def tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def put_killed(out: Path, at: int) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-c", KILLED, str(out), str(at), MARKER_START]
    return subprocess.run(words, capture_output=True, text=True, check=False, timeout=60)


def test_killed_before_any_of_its_steps_it_leaves_the_old_book_or_the_new_one(tmp_path: Path) -> None:
    """Each moment between two calls of the operating system, one after the other."""
    out = tmp_path / "out"
    put(OLD, out)
    whole = put_killed(out, 0)
    assert (whole.returncode, whole.stderr) == (0, "")
    steps = int(whole.stdout)
    assert steps > len(NEW) + 20
    seen: dict[str, int] = {}
    moments = [*range(1, 4), *range(len(NEW) - 2, steps + 1)]  # between them it writes one file like the other
    for at in moments:
        put(OLD, out)
        assert put_killed(out, at).returncode == -signal.SIGKILL
        gone = not out.exists()
        assert restored(out) == gone
        now = tree(out)
        assert now in (OLD, NEW)
        assert [path.name for path in tmp_path.iterdir()] == ["out"]
        name = ("gone, " if gone else "") + ("old" if now == OLD else "new")
        seen[name] = seen.get(name, 0) + 1
    assert set(seen) == {"old", "gone, old", "new"}


@pytest.mark.slow
def test_killed_fifty_times_at_random_moments(tmp_path: Path) -> None:
    """A whole build of a small folder; each time the next command finds one book, whole."""
    hull, out = tmp_path / "hull", tmp_path / "out"
    hull.mkdir()
    (hull / "hull.toml").write_text('as_of = 2026-06-15\n[hull]\nname = "Killed"\n', encoding="utf-8")
    command = [sys.executable, *NO_PDF, "build", str(hull), "-o", str(out)]

    def build() -> subprocess.Popen[str]:
        return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)

    started = time.monotonic()
    said, _ = (first := build()).communicate(timeout=300)
    assert first.returncode == 0, said
    takes, first_book = time.monotonic() - started, tree(out)
    chance = random.Random(20261126)
    stopped = 0
    for number in range(50):
        (hull / "hull.toml").write_text(f'as_of = 2026-06-15\n[hull]\nname = "Killed {number}"\n', encoding="utf-8")
        before = tree(out)
        child = build()
        time.sleep(chance.uniform(0.5, 1.1) * takes)
        child.kill()
        child.communicate(timeout=300)
        stopped += child.returncode == -signal.SIGKILL
        restored(out)
        now = tree(out)
        assert now == before or f"Killed {number}".encode() in now["book.json"]
        assert_whole(out)
    assert stopped >= 10
    assert set(tree(out)) == set(first_book)


def assert_whole(out: Path) -> None:
    """As stock `sha256sum` says."""
    command = ["sha256sum", "--check", "--quiet", "--strict", "SHA256SUMS", "SHA256SUMS.release"]
    done = subprocess.run(command, cwd=out, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout) == (0, ""), done.stderr


def test_two_at_once_do_not_mix(tmp_path: Path) -> None:
    out, seen = tmp_path / "out", []

    def often(content: dict[str, bytes]) -> None:
        for _ in range(20):
            put(content, out)
            seen.append(len(content))

    threads = [threading.Thread(target=often, args=(content,)) for content in (OLD, NEW)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert tree(out) in (OLD, NEW)
    assert len(seen) == 40
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_what_forbids_it_is_asked_when_nobody_can_interfere(tmp_path: Path) -> None:
    out = tmp_path / "out"
    put(OLD, out)

    def forbidden() -> None:
        raise PermissionError("signed meanwhile")

    with pytest.raises(PermissionError, match="meanwhile"):
        put(NEW, out, forbidden)
    assert tree(out) == OLD
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def full_disk() -> None:
    """No file of this process can be longer than 20 kB: writing more fails as on a full disk, for root too."""
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))


def test_a_full_disk_is_one_clear_line_and_the_old_book_stays(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (tmp_path / "hull").mkdir()
    (tmp_path / "hull" / "hull.toml").write_text('as_of = 2026-06-15\n[hull]\nname = "Full"\n', encoding="utf-8")
    put(OLD, out)
    (out / "SHA256SUMS.release").write_text("".join(f"{0:064}  {name}\n" for name in OLD), encoding="utf-8")
    before = tree(out)
    done = subprocess.run(
        [sys.executable, *NO_PDF, "build", "hull", "-o", "out"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        preexec_fn=full_disk,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.strip().splitlines() == ["out: the book cannot be written there (File too large)"]
    assert tree(out) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["hull", "out"]


@pytest.mark.parametrize("inside", [{"new": "d", "mine": "f"}, {"mine": "d"}, {"new": "d", "old": "d", "x": "d"}])
def test_a_folder_of_somebody_else_with_such_a_name_is_left_alone(tmp_path: Path, inside: dict[str, str]) -> None:
    mine = tmp_path / ".out-being-written-abcdefgh"
    mine.mkdir()
    for name, kind in inside.items():
        (mine / name).mkdir() if kind == "d" else (mine / name).write_text("keep me", encoding="utf-8")
    assert not restored(tmp_path / "out")
    put(OLD, tmp_path / "out")
    assert sorted(path.name for path in mine.iterdir()) == sorted(inside)


def test_an_old_folder_that_is_not_ours_is_not_brought_back(tmp_path: Path) -> None:
    aside = tmp_path / ".out-being-written-abcdefgh"
    (aside / "old").mkdir(parents=True)
    assert not restored(tmp_path / "out")
    assert not (tmp_path / "out").exists()


def set_aside(out: Path) -> Path:
    """A book as a build leaves it that is killed between its two moves."""
    put(OLD, out)
    aside = out.parent / f".{out.name}-being-written-abcdefgh"
    aside.mkdir()
    out.rename(aside / "old")
    return aside / "old"


@pytest.mark.parametrize("inside", [{}, {"mine.txt": "mine"}, {MARKER: "somebody else's marker"}])
def test_the_earlier_book_is_never_deleted_while_no_whole_one_is_in_place(
    tmp_path: Path, inside: dict[str, str]
) -> None:
    """Somebody has made a folder where the book was, before anybody brought it back."""
    out = tmp_path / "out"
    old = set_aside(out)
    out.mkdir()
    for name, text in inside.items():
        (out / name).write_text(text, encoding="utf-8")
    for again in (lambda: restored(out), lambda: put(NEW, out), lambda: restored(out)):
        with pytest.raises(Refused, match=re.escape(str(old))):
            again()
        assert tree(old) == OLD
        assert sorted(path.name for path in out.iterdir()) == sorted(inside)
    shutil.rmtree(out)
    assert restored(out)
    assert tree(out) == OLD


def test_the_earlier_book_goes_where_a_whole_one_is_in_place(tmp_path: Path) -> None:
    old = set_aside(tmp_path / "out")
    shutil.copytree(old, tmp_path / "out")
    assert not restored(tmp_path / "out")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_what_somebody_else_puts_in_the_way_between_the_moves_costs_no_book(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out, really = tmp_path / "out", Path.rename
    put(OLD, out)

    def rename(self: Path, target: Path) -> Path:
        made = really(self, target)
        if target.name == "old":
            out.mkdir()
            (out / "mine.txt").write_text("mine", encoding="utf-8")
        return made

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(Refused, match="the earlier one is kept in") as refused:
        put(NEW, out)
    (old,) = tmp_path.glob(".out-being-written-*/old")
    assert str(old) in str(refused.value)
    assert tree(old) == OLD
    assert tree(out) == {"mine.txt": b"mine"}


def test_a_folder_that_vanishes_while_one_looks_for_leavings_is_passed_by(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build that is running takes its own away at any moment; to look needs no lock."""
    really = Path.iterdir

    def iterdir(self: Path) -> Iterator[Path]:
        if "being-written" in self.name:
            shutil.rmtree(self)
        return really(self)

    (tmp_path / ".out-being-written-abcdefgh" / "new").mkdir(parents=True)
    monkeypatch.setattr(Path, "iterdir", iterdir)
    assert not restored(tmp_path / "out")
    assert os.listdir(tmp_path) == []


def test_a_link_is_not_followed(tmp_path: Path) -> None:
    put(OLD, tmp_path / "other")
    real = tmp_path / "real"
    real.mkdir()
    (tmp_path / "other").rename(real / "old")
    (tmp_path / ".out-being-written-abcdefgh").symlink_to(real)
    assert not restored(tmp_path / "out")
    assert tree(real / "old") == OLD


def test_the_next_build_says_that_the_earlier_book_is_back(tmp_path: Path) -> None:
    put(OLD, tmp_path / "kept")
    aside = tmp_path / ".out-being-written-abcdefgh"
    aside.mkdir()
    (tmp_path / "kept").rename(aside / "old")
    done = subprocess.run(
        [sys.executable, "-m", "buildbook", "build", "no such folder", "-o", "out"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("out: a build that was stopped had set the earlier book aside. It is back.\n")
    assert tree(tmp_path / "out") == OLD
