"""A build that was stopped: verify sees what it left, judges a whole book, and moves nothing."""

from __future__ import annotations

from pathlib import Path

from buildbook.render.place import BEING_WRITTEN, NEW, restored
from buildbook.render.place import OLD as SET_ASIDE
from tests.parcel.small_hull import everything
from tests.seal.test_by_book import digest_of
from tests.seal.test_verify_folder import flip, run


def leavings(out: Path) -> Path:
    """The folder that a build makes beside its output."""
    aside = out.parent / f".{out.name}-{BEING_WRITTEN}-abc"
    aside.mkdir()
    return aside


def test_the_earlier_book_is_judged_where_it_was_set_aside(out: Path) -> None:
    """Killed between the two moves: the old book is aside, the new one is whole and not in place."""
    digest, aside = digest_of(out), leavings(out)
    out.rename(aside / SET_ASIDE)
    before = everything(out.parent)
    code, said = run(out, "--digest", digest)
    assert code == 0
    assert said.startswith(f"{aside / SET_ASIDE}: every file is as the lists name it.")
    assert f"set aside in {aside / SET_ASIDE}. That one was judged." in said
    assert everything(out.parent) == before, "nothing is moved"
    flip(aside / SET_ASIDE / "index.html")
    assert run(out)[0] == 1
    assert restored(out), "what verify judged is what the next build brings back"
    assert run(out)[1].startswith(f"{out}: NOT the book that was written.")


def test_the_book_in_place_is_judged_and_the_beginning_of_another_is_told(out: Path) -> None:
    aside = leavings(out)
    (aside / NEW).mkdir()
    (aside / NEW / "index.html").write_text("begun", encoding="utf-8")
    code, said = run(out)
    assert code == 0
    assert said.startswith(f"{out}: every file is as the lists name it.")
    assert f"it has begun another book in {aside}. Judged was the book that stands in {out}." in said


def test_where_no_whole_book_is_left_it_is_said_what_to_do(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (leavings(out) / NEW).mkdir()
    code, said = run(out)
    assert code == 2
    assert "holds no whole book. Wait for the build, or build again." in said
    assert len(said.strip().splitlines()) == 1


def test_without_leavings_nothing_is_said_of_a_build(out: Path) -> None:
    assert "stopped" not in run(out)[1]
