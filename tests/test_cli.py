"""The commands: help, exit status, messages on the right stream, and never a traceback."""

from __future__ import annotations

import json
import os
import pty
import re
import shutil
import subprocess
import sys
from pathlib import Path

import jsonschema
import pytest
from typer.testing import CliRunner

from buildbook import newfolder
from buildbook.chapters import CHAPTERS
from buildbook.cli import app
from tests.end_to_end.spoiling import HULL, Sheet, copied
from tests.no_pdf import NO_PDF

ROOT = HULL.parent.parent
COMMANDS = ("new", "check", "build", "explain")
CHECKS = [check for chapter in CHAPTERS for check in chapter.checks]


def run(
    *words: str | Path, cwd: Path = ROOT, program: tuple[str, str] = ("-m", "buildbook"), **environment: str
) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, *program, *map(str, words)]
    env = {**os.environ, "PYTHONPATH": str(ROOT), **environment}
    return subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True, timeout=600, encoding="utf-8")


@pytest.fixture(scope="module")
def hull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return copied(tmp_path_factory.mktemp("cli") / "hull")


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose book is quickly printed: her own file and the number in three places."""
    folder = tmp_path_factory.mktemp("small") / "hull"
    folder.mkdir()
    shutil.copy(HULL / "hull_number.csv", folder)
    text = (HULL / "hull.toml").read_text(encoding="utf-8")
    (folder / "hull.toml").write_text(re.sub(r"withhold = .*", "withhold = []", text), encoding="utf-8")
    return folder


# --- help ---------------------------------------------------------------------------------------------------------


def test_help_names_every_command() -> None:
    done = run("--help")
    assert (done.returncode, done.stderr) == (0, "")
    assert [command for command in COMMANDS if f"  {command} " not in done.stdout] == []


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_each_command_explains_each_argument(command: str) -> None:
    done = CliRunner().invoke(app, [command, "--help"])
    assert done.exit_code == 0
    told = done.stdout.split("Arguments:")[1]
    for line in told.splitlines():
        if line.strip().startswith(("-", "FOLDER", "CHECK-ID")):
            assert len(line.split()) > 2, line


def test_no_command_shows_the_help() -> None:
    assert "Commands:" in run().stderr + run().stdout


# --- exit status --------------------------------------------------------------------------------------------------


def test_check_prints_what_is_wrong_first_and_writes_nothing(hull: Path) -> None:
    before = sorted(hull.rglob("*"))
    done = run("check", hull)
    assert (done.returncode, done.stderr) == (0, "")
    lines = done.stdout.splitlines()
    assert lines[0].startswith("Specimen")
    assert "invented" in " ".join(lines[1:3])
    assert done.stdout.index("In the way: 1 open") < done.stdout.index("\nnonconformities.csv\n")
    assert "9 per dm²; at most 5 per dm²: fail" in " ".join(done.stdout.split())
    assert lines[-2].startswith("Next: nonconformities.csv:29: ")
    assert sorted(hull.rglob("*")) == before


def test_all_adds_what_needs_nothing_more_and_every_question(hull: Path) -> None:
    brief, whole = (CliRunner().invoke(app, ["check", str(hull), *more]).stdout for more in ((), ("--all",)))
    assert "206.0 ± 6.0 µm" not in brief  # put right and measured again
    assert "206.0 ± 6.0 µm" in whole
    questions = whole[whole.index("Every question") :]
    assert all(check.id in questions for check in CHECKS)


def test_json_follows_its_published_schema_and_holds_what_the_text_says(hull: Path) -> None:
    done = run("check", hull, "--format", "json")
    assert (done.returncode, done.stderr) == (0, "")
    schema = json.loads((ROOT / "docs" / "reference" / "check.schema.json").read_text("utf-8"))
    told = json.loads(done.stdout)
    jsonschema.validate(told, schema)
    assert {"kind": "open", "number": 1} in told["tally"]
    assert told["files"][0]["file"] == "nonconformities.csv"
    assert told["next"].startswith("nonconformities.csv:29: ")
    assert CliRunner().invoke(app, ["check", str(hull), "--format", "json"]).stdout == done.stdout


def test_watch_shows_text_only(hull: Path) -> None:
    done = run("check", hull, "--watch", "--format", "json")
    assert (done.returncode, done.stdout) == (2, "")
    assert "--watch shows text" in done.stderr


def test_strict_turns_bad_news_into_status_1(hull: Path, tmp_path: Path) -> None:
    assert CliRunner().invoke(app, ["check", str(hull), "--strict"]).exit_code == 1
    text = (HULL / "hull.toml").read_text(encoding="utf-8")
    head = re.sub(r"withhold = .*", "withhold = []", text.partition("[[limits]]")[0])
    (tmp_path / "hull.toml").write_text(head, encoding="utf-8")
    done = run("check", tmp_path, "--strict")  # nothing in it fails: no fault, only gaps
    assert done.returncode == 0
    assert "no record" in done.stdout


def test_faults_are_counted_and_told_with_file_line_and_column(hull: Path) -> None:
    sheet = Sheet.read(hull / "coating" / "gloss.csv")
    data = sheet.path.read_bytes()
    sheet.set(3, "gloss", "shiny")
    sheet.write()
    try:
        done = CliRunner().invoke(app, ["check", str(hull)])
    finally:
        sheet.path.write_bytes(data)
    assert done.exit_code == 0
    assert "In the way: 1 fault, " in done.stdout
    told = " ".join(done.stdout[done.stdout.index("\ncoating/gloss.csv\n") :].split())
    assert told.startswith("coating/gloss.csv line 5, gloss [GU]: fault. found 'shiny', a word; write the number ")
    assert "-> Correct this cell." in told
    assert told.endswith("Next: coating/gloss.csv:5, column 'gloss [GU]': Correct this cell.")


def test_check_names_every_file_that_nothing_uses_and_asks_for_the_near_table(small: Path, tmp_path: Path) -> None:
    hull = tmp_path / "hull"
    shutil.copytree(small, hull)
    names = ["coating/gloss_2026.csv", "hull_number (1).csv", "notes.txt"]
    for name in names:
        (hull / name).parent.mkdir(exist_ok=True)
        shutil.copy(HULL / "coating/gloss.csv", hull / name)
    printed = run("check", hull).stdout
    said = " ".join(printed.split())
    lines = printed[printed.index("Files that nothing uses: 1") :].splitlines()
    assert lines[1].strip() == names[-1], "the others are told with what to do about them"
    assert "hull_number (1).csv Notice. found" in said
    assert "expected the name of a table" in said
    assert "Is this hull_number.csv? That is in the folder, too." in said
    assert "name it coating/gloss.csv" in said


BAD = {
    "no such command": ["frobnicate"],
    "no such option": ["check", "--colour", "x"],
    "no folder": ["check"],
    "an empty name": ["check", ""],
    "an empty name for new": ["new", ""],
    "an empty name for the book": ["build", str(HULL), "-o", ""],
    "no such folder": ["check", "nowhere/at/all"],
    "a file for a folder": ["check", str(HULL / "hull.toml")],
    "two folders": ["check", str(HULL), str(HULL)],
    "a name that is too long": ["check", "x" * 5000],
    "no such check": ["explain", "COA-99"],
    "a path for a check": ["explain", "../../../etc/passwd"],
    "nothing for a check": ["explain", ""],
    "no check": ["explain"],
    "the book in the hull": ["build", str(HULL), "-o", str(HULL / "out")],
    "the hull in the book": ["build", str(HULL), "-o", str(HULL.parent)],
    "the book in the hull's place": ["build", str(HULL), "-o", str(HULL)],
    "the book in a folder of somebody else": ["build", str(HULL), "-o", str(ROOT / "tests")],
    "the book in place of a file": ["build", str(HULL), "-o", str(ROOT / "README.md")],
    "a new hull in a folder of somebody else": ["new", str(ROOT / "buildbook")],
    "a new hull below a file": ["new", str(ROOT / "README.md" / "hull")],
}


@pytest.mark.parametrize("words", BAD.values(), ids=BAD)
def test_what_cannot_be_done_is_said_on_stderr_with_status_2(words: list[str], tmp_path: Path) -> None:
    done = run(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_the_folder_that_was_named_stands_in_the_message() -> None:
    assert run("check", "nowhere/at/all").stderr.startswith("nowhere/at/all: expected a folder")


def test_an_unreadable_hull_file_ends_with_its_line(small: Path, tmp_path: Path) -> None:
    text = (small / "hull.toml").read_text(encoding="utf-8")
    (tmp_path / "hull.toml").write_text(text.replace("beam = 5.10", "beam = wide"), encoding="utf-8")
    line = text[: text.index("beam")].count("\n") + 1
    for command in ("check", "build"):
        done = run(command, tmp_path, cwd=small.parent)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith(f"hull.toml:{line}, ")
        assert "Without this file no book can be made" in done.stderr
    assert not (small.parent / "out").exists()


# --- build --------------------------------------------------------------------------------------------------------


def test_build_says_where_and_under_which_digest(small: Path, tmp_path: Path) -> None:
    """With its printed book: tests/face/test_cli_face.py, and among the slow tests tests/end_to_end/test_new.py."""
    done = run("build", small, cwd=tmp_path, program=NO_PDF)
    assert (done.returncode, done.stderr) == (0, "")
    assert "Written to out: open out/index.html" in done.stdout
    assert "Digest " in done.stdout
    again = run("build", small, cwd=tmp_path, program=NO_PDF)  # replaced, since it is ours
    assert again.returncode == 0
    assert again.stdout == done.stdout


def test_a_book_somebody_else_wrote_into_is_left_alone(small: Path, tmp_path: Path) -> None:
    assert run("build", small, cwd=tmp_path, program=NO_PDF).returncode == 0
    (tmp_path / "out" / "mine.txt").write_text("keep me", encoding="utf-8")
    done = run("build", small, cwd=tmp_path, program=NO_PDF)
    assert done.returncode == 2
    assert "mine.txt" in done.stderr
    assert (tmp_path / "out" / "mine.txt").read_text(encoding="utf-8") == "keep me"
    assert (tmp_path / "out" / "index.html").exists()


@pytest.mark.slow
def test_a_place_that_cannot_be_written_is_said_by_its_own_name(small: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    for out in ("file/book", "x" * 300):
        done = run("build", small, "-o", out, cwd=tmp_path, program=NO_PDF)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr.startswith(f"{out}: the book cannot be written there (")
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


@pytest.mark.slow
def test_without_the_text_library_everything_but_the_pdf_is_made(small: Path, tmp_path: Path) -> None:
    done = run("build", small, cwd=tmp_path, program=NO_PDF)
    assert (done.returncode, done.stderr) == (0, "")
    (said,) = [line for line in done.stdout.splitlines() if "PDF" in line]
    assert "libpango" in said
    made = {path.relative_to(tmp_path / "out").as_posix() for path in (tmp_path / "out").rglob("*")}
    assert made >= {"index.html", "coating.html", "book.json", "SHA256SUMS", "SHA256SUMS.release", "verify.html"}
    assert [name for name in made if name.endswith(".pdf")] == []
    pages = [path.read_text(encoding="utf-8") for path in (tmp_path / "out").rglob("*.html")]
    assert not any("-book.pdf" in text for text in pages)


# --- explain ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_explain_tells_question_formula_limit_source_and_range(check) -> None:
    done = CliRunner().invoke(app, ["explain", check.id.lower()])
    assert done.exit_code == 0
    text = " ".join(done.stdout.split())
    assert check.question in text
    for words in ("Why it matters", "How it was measured", "What this does not show", "Can say:", "Rests on"):
        assert words in text
    for kind in check.tables:
        assert kind.table.file in text
    for formula in check.formulas:
        assert f"{formula.__name__}: " in text
    assert "[sources]" not in text


def test_explain_all_lists_every_check() -> None:
    done = CliRunner().invoke(app, ["explain", "all"])
    assert [line.split()[0] for line in done.stdout.splitlines()] == [check.id for check in CHECKS]


# --- terminals ----------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_terminal_without_the_signs_gets_question_marks(hull: Path) -> None:
    done = run("check", hull, PYTHONIOENCODING="ascii", LC_ALL="C")
    assert (done.returncode, done.stderr) == (0, "")
    assert "0.24 ? 0.30 %" in done.stdout


def test_another_unit_is_converted_without_a_word_from_a_library(small: Path, tmp_path: Path) -> None:
    hull = Path(shutil.copytree(small, tmp_path / "hull"))
    shutil.copy(HULL / "places.csv", hull)
    sheet = Sheet.read(hull / "places.csv")
    sheet.rows[0][sheet.index("x")] = "x [ft]"
    sheet.write()
    done = run("check", hull)
    assert done.stderr == ""
    assert "is 2.8956 m" in done.stdout  # 9.5 ft


def test_words_from_the_folder_cannot_command_the_terminal(small: Path, tmp_path: Path) -> None:
    text = (small / "hull.toml").read_text(encoding="utf-8")
    (tmp_path / "hull.toml").write_text(
        text.replace('name = "Specimen"', r'name = "\u001b[2J\u0007[bold red]Her[/] [/nothing]"'), encoding="utf-8"
    )
    done = run("check", tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert "\x1b" not in done.stdout
    assert "[bold red]Her[/] [/nothing]" in done.stdout


@pytest.mark.slow
def test_progress_is_shown_on_a_terminal_only(small: Path, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    command = [sys.executable, *NO_PDF, "build", str(small)]
    env = {**os.environ, "PYTHONPATH": str(ROOT), "TERM": "xterm"}
    child = subprocess.Popen(command, cwd=tmp_path, env=env, stdout=subprocess.PIPE, stderr=theirs)
    os.close(theirs)
    shown = b""
    while True:
        try:
            block = os.read(ours, 4096)
        except OSError:  # the other end is closed
            break
        if not block:
            break
        shown += block
    said, _ = child.communicate(timeout=300)
    os.close(ours)
    assert child.returncode == 0
    assert b"reading the folder" in shown or b"judging" in shown or b"book.json" in shown
    assert b"Written to out" in said
    assert run("build", small, cwd=tmp_path, program=NO_PDF).stderr == ""


# --- new folders --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("link", ["her", "her/hull.toml", "her/coating", "her/coating/coats.csv"])
def test_new_writes_through_no_link(tmp_path: Path, link: str) -> None:
    """A link in place of the folder, of a folder in it, of a file; also one that leads nowhere."""
    outside, inside = tmp_path / "outside", tmp_path / link
    inside.parent.mkdir(parents=True, exist_ok=True)
    for target in (outside, tmp_path / "nowhere"):
        if target == outside and not link.endswith((".toml", ".csv")):
            outside.mkdir()
        elif target == outside:
            outside.write_text("somebody else's")
        inside.symlink_to(target)
        done = CliRunner().invoke(app, ["new", str(tmp_path / "her")])
        assert done.exit_code == 2
        assert f"{inside} is a link" in done.stderr
        assert not (tmp_path / "nowhere").exists()
        assert list(outside.iterdir()) == [] if outside.is_dir() else outside.read_text() == "somebody else's"
        inside.unlink()
    assert list(tmp_path.rglob("*.csv")) == []


def test_new_never_overwrites_what_appears_meanwhile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A link and a file put there after the first look: neither is followed nor overwritten."""
    folder, secret = tmp_path / "her", tmp_path / "secret"
    (folder / "coating").mkdir(parents=True)
    (folder / "hull.toml").write_text("mine")
    secret.write_text("secret")
    (folder / "plan.csv").symlink_to(secret)
    (folder / "places.csv").symlink_to(tmp_path / "nowhere")
    monkeypatch.setattr(newfolder, "_no_links", lambda folder, names: None)
    written = newfolder.lay_out(folder)
    assert {"hull.toml", "plan.csv", "places.csv"} & set(written) == set()
    assert "coating/coats.csv" in written
    assert ((folder / "hull.toml").read_text(), secret.read_text()) == ("mine", "secret")
    assert not (tmp_path / "nowhere").exists()


def test_new_tells_one_file_in_the_singular(tmp_path: Path) -> None:
    CliRunner().invoke(app, ["new", str(tmp_path / "her")])
    (tmp_path / "her" / "plan.csv").unlink()
    assert "1 file laid out in" in CliRunner().invoke(app, ["new", str(tmp_path / "her")]).stdout


def test_every_line_of_a_fresh_hull_file_may_be_uncommented(tmp_path: Path) -> None:
    """What stands there as an example is told where it is none, and never ends in a traceback."""
    CliRunner().invoke(app, ["new", str(tmp_path)])
    text = re.sub(r"(?m)^# (?=[a-z_]+ = |\[\[)", "", newfolder.HULL_FILE)
    assert text.count("\nprofile = ") == text.count("\n[[limits]]") == 1
    (tmp_path / "hull.toml").write_text(text, encoding="utf-8")
    done = CliRunner().invoke(app, ["check", str(tmp_path), "--all"])
    assert (done.exit_code, done.exception) == (0, None)
    for key in ("dimensions.length_hull", "outline.profile", "outline.plan", "hull.name"):
        assert re.search(rf"line \d+, {key}: fault\.", done.stdout), key


# --- order of messages --------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_messages_come_in_the_same_order_and_words_whatever_the_hash_seed(tmp_path: Path) -> None:
    """Many mistakes at once: sets have another order with each seed, and nothing that is printed may follow it."""
    hull = copied(tmp_path / "hull")
    for name, old, new in (
        ("coating/film_thickness.csv", "\nZ", "\nZ1"),
        ("coating/film_thickness.csv", "UT-01", "UT"),
        ("coating/coats.csv", ",Z", ",Q"),
        ("plan.csv", "COA-", "CAO-"),
        ("hull.toml", '"Z7"', '"Z77"'),
        ("hull.toml", '"dew-point margin"', '"dew margin"'),
        ("hull.toml", '"high"', '"hihg"'),
    ):
        text = (hull / name).read_text(encoding="utf-8")
        assert old in text
        (hull / name).write_text(text.replace(old, new), encoding="utf-8")
    (hull / "coating" / "climate.csv").rename(hull / "climate.csv")
    first, *others = (run("check", hull, PYTHONHASHSEED=str(seed)).stdout for seed in range(4))
    assert "did you mean" in first
    assert [other == first for other in others] == [True] * 3
