"""Which edition wrote a book is known by the sum of the program's own files, not by its version text alone."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from buildbook.edition import LIBRARIES, edition, program_sum
from buildbook.exports import differing
from buildbook.render.place import Refused
from buildbook.render.templates import templates_dir
from buildbook.seal.earlier import read_earlier
from buildbook.seal.sign import sign
from tests.seal.conftest import IDENTITY, no_passphrase
from tests.seal.test_by_book import digest_of, repacked, the_zip
from tests.seal.test_exported import checked, forged, other_cell
from tests.seal.test_verify_folder import relisted, run

OTHER = "0" * 64
LABEL = "Program-SHA-256: "


def info(path: Path) -> str:
    with zipfile.ZipFile(path) as package:
        (name,) = [one for one in package.namelist() if one.endswith("/bag-info.txt")]
        return package.read(name).decode("utf-8")


def other_info(out: Path, before: str, after: str) -> None:
    """Another bag-info.txt in the package of a folder, and every list that names it written anew."""
    path = the_zip(out)
    assert before in info(path)
    with zipfile.ZipFile(path) as package:
        files = {name: package.read(name) for name in package.namelist()}
    with zipfile.ZipFile(path, "w") as made:
        for name, data in files.items():
            other = data.decode().replace(before, after).encode() if name.endswith("/bag-info.txt") else data
            made.writestr(name, other)
    repacked(path)
    relisted(out, "SHA256SUMS.release")


def laid_out(root: Path) -> tuple[Path, Path]:
    """A package with templates beside it."""
    package, templates = root / "buildbook", root / "templates"
    (package / "core").mkdir(parents=True)
    templates.mkdir()
    (package / "core" / "book.py").write_text("a = 1\n", encoding="utf-8")
    (templates / "page.html.j2").write_text("<p>\n", encoding="utf-8")
    return package, templates


def test_the_sum_is_the_same_wherever_the_templates_lie(tmp_path: Path) -> None:
    package, templates = laid_out(tmp_path)
    before = program_sum(package, templates)
    assert program_sum(package, templates.rename(package / "_templates")) == before


def test_every_byte_and_name_counts_and_caches_do_not(tmp_path: Path) -> None:
    package, templates = laid_out(tmp_path)
    sums = [program_sum(package, templates)]
    for path, text in (
        (package / "core" / "book.py", "a = 2\n"),
        (templates / "page.html.j2", "<p>x\n"),
        (package / "core" / "more.csv", ""),
    ):
        path.write_text(text, encoding="utf-8")
        sums.append(program_sum(package, templates))
    (package / "core" / "book.py").rename(package / "core" / "look.py")
    sums.append(program_sum(package, templates))
    assert len(set(sums)) == len(sums)
    for left in ("__pycache__/book.pyc", "book.py~", ".book.py.swp"):
        (package / left).parent.mkdir(exist_ok=True)
        (package / left).write_text("x", encoding="utf-8")
    assert program_sum(package, templates) == sums[-1]


def test_a_package_says_which_program_wrote_it_with_which_libraries(papers: Path) -> None:
    said = info(the_zip(papers)).splitlines()
    root = Path(__file__).parents[2]
    assert f"{LABEL}{program_sum(root / 'buildbook', templates_dir())}" in said
    (libraries,) = [line for line in said if line.startswith("Program-Libraries: ")]
    assert all(f"{name} " in libraries for name in LIBRARIES)
    assert checked(papers).other == ""
    assert "Program: the package says that it was this one; that is what the file says" in run(papers)[1]


OURS = f"{LABEL}{dict(edition())['Program-SHA-256']}\n"
OF_ANOTHER = {"another sum": (OURS, f"{LABEL}{OTHER}\n"), "no sum": (OURS, ""), "libraries": ("lib ", "lib 0.")}


@pytest.mark.parametrize("what", OF_ANOTHER)
@pytest.mark.slow
def test_an_honest_book_of_another_commit_is_not_called_forged(papers: Path, what: str) -> None:
    """The same version text, another program; what differs, that one may have written so."""
    other_info(papers, *OF_ANOTHER[what])
    for path in (papers, the_zip(papers)):
        code, said = run(path, "--digest", digest_of(papers))
        assert code == 0
        (program,) = [line for line in said.splitlines() if line.startswith("Program: ")]
        assert program.startswith("Program: NOT known to be the one that wrote the book (")
        assert "second time" in program
        assert program.endswith("pages were NOT made again.") == (path == papers)
    forged(papers, "book.schema.json", lambda data: data.replace(b'"Book"', b'"Look"'))
    for path in (papers, the_zip(papers)):
        code, said = run(path, "--digest", digest_of(papers))
        assert code == 2
        assert "second time is the same" not in said
        assert "NOT the book that was written" not in said
        assert "it cannot be judged whole: this edition of the program makes " in said.splitlines()[0]
        assert "Made otherwise by this edition, so not judged" in said
        assert "data/book.schema.json: line " in said
        assert "Whether somebody changed the files" in said


def test_who_names_another_program_does_not_switch_the_comparison_off(papers: Path) -> None:
    """The sum stands in a file that no digest covers: a forger may write there what he likes, and gets no pass."""
    forged(papers, "findings.csv", other_cell(3, "verdict", "pass"))
    assert run(papers)[0] == 1
    other_info(papers, LABEL, f"{LABEL}{OTHER[:4]}")
    code, said = run(papers, "--digest", digest_of(papers))
    assert code == 2
    assert "data/findings.csv: row 3, column verdict: found 'pass'" in said
    assert "every file is as the lists name it" not in said


def test_what_another_edition_makes_otherwise_is_not_signed_and_may_be_the_release_before(papers: Path, keys) -> None:
    other_info(papers, LABEL, f"{LABEL}{OTHER[:4]}")
    forged(papers, "book.schema.json", lambda data: data.replace(b'"Book"', b'"Look"'))
    with pytest.raises(Refused, match="another may have written it"):
        sign(papers, keys("yard"), IDENTITY, no_passphrase, differing)
    assert read_earlier(papers, differing).number == 1
