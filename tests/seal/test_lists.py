"""Lists of sums against the program that reads them everywhere."""

from __future__ import annotations

import pytest

from buildbook.render.names import stays_inside
from buildbook.render.sums import read_sums, withheld_lines
from buildbook.seal.holder import CannotJudge
from buildbook.seal.verify import typed_digest

SUM = "ab" * 32


@pytest.mark.parametrize(
    "name", ["../a", "/etc/passwd", "a/../b", "a//b", "./a", "a/", "a\\b", "C:a", "a\x00b", "a\x1bb", "..", ""]
)
def test_a_name_that_leads_out_or_is_written_another_way_is_not_used(name: str) -> None:
    assert not stays_inside(name)
    assert read_sums(f"{SUM}  {name}\n".encode()).by_name == {}


@pytest.mark.parametrize("name", ["a.csv", "evidence/received/film thickness.csv", "ümläut", ".buildbook", "a..b"])
def test_a_plain_name_is_used(name: str) -> None:
    assert read_sums(f"{SUM}  {name}\n".encode()).by_name == {name: SUM}


@pytest.mark.parametrize(
    "line",
    [b"", b"ab  a", SUM.upper().encode() + b"  a", SUM.encode() + b" a", SUM.encode() + b" *a", b"\xff" * 70],
)
def test_a_line_of_another_form_is_told_by_its_number(line: bytes) -> None:
    read = read_sums(f"{SUM}  first\n".encode() + line + f"\n{SUM}  last\n".encode())
    assert read.bad == (2,)
    assert list(read.by_name) == ["first", "last"]


def test_a_name_that_comes_twice_is_told() -> None:
    read = read_sums(f"{SUM}  a\n{'cd' * 32}  a\n".encode())
    assert (read.by_name, read.bad) == ({"a": SUM}, (2,))


def test_a_manifest_of_a_bag_may_escape_signs_of_names() -> None:
    """RFC 8493, 2.1.3: CR, LF and the percent sign are written %0D, %0A and %25; white space is not set."""
    assert read_sums(f"{SUM} \t data/5%25 off.csv\n".encode(), bag=True).by_name == {"data/5% off.csv": SUM}
    assert read_sums(f"{SUM}  data/a%0Ab\n".encode(), bag=True).bad == (1,)


def test_a_digest_as_somebody_types_it() -> None:
    assert typed_digest(f" {SUM[:32].upper()}\n{SUM[32:]} ") == SUM
    assert typed_digest("ABAB abab ABAB") == "abababababab"
    for wrong in ("abc", SUM[:63], SUM + "a", "o" * 12, "abababababag"):
        with pytest.raises(CannotJudge):
            typed_digest(wrong)


HELD = withheld_lines([("the yard", "cd" * 32, "b.csv")]).decode().splitlines()


@pytest.mark.parametrize(
    "lines",
    [
        ["# 48213"],
        ["#"],
        [HELD[0], "# 48213"],
        [*HELD, HELD[0]],
        [*HELD, HELD[1]],
        [*HELD, f"#{SUM}  c"],
        [*HELD, f"# {SUM}  ../d"],
        [HELD[0].replace("Withheld", "withheld")],
    ],
)
def test_a_line_that_the_stock_program_passes_over_and_no_build_writes_is_told(lines: list[str]) -> None:
    """It could hold a counter, to look for a list whose digest begins as that of another."""
    read = read_sums("\n".join([f"{SUM}  a", *lines, ""]).encode())
    assert read.bad == (len(lines) + 1,)


def test_lines_that_the_stock_program_passes_over_are_words_or_name_what_is_withheld() -> None:
    held = withheld_lines([("the yard", "cd" * 32, "b.csv")])
    read = read_sums(f"{SUM}  a\n".encode() + held)
    assert (list(read.by_name), read.bad, dict(read.withheld)) == (["a"], (), {"b.csv": "cd" * 32})
    assert read.passed_over == (2, 3)
    assert read_sums(b"# words\n", bag=True).bad == (1,), "a manifest of a bag has none (RFC 8493, 2.1.3)"
