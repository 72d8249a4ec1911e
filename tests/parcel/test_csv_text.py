"""Cells of our tables that a spreadsheet would run."""

from __future__ import annotations

from datetime import datetime

import pytest

from buildbook.parcel.csv_text import cell, csv_bytes, neutral


@pytest.mark.parametrize("text", ["=1+1", "+A1", "-cmd|' /C calc'!A0", "@SUM(A1)", "\t=1", "\r=1", "=-5", "-", "--2"])
def test_text_that_would_run_gets_an_apostrophe(text: str) -> None:
    assert neutral(text) == f"'{text}"


@pytest.mark.parametrize("text", ["-2.4", "+5", "-1,5", "-1e-3", "-12 500", "", "Z1", "a=b", "'Z1", "'-2.4"])
def test_numbers_and_other_text_stay(text: str) -> None:
    assert neutral(text) == text


def test_numbers_are_never_text() -> None:
    assert cell(-2.5) == "-2.5"
    assert cell(-7) == "-7"
    assert csv_bytes(["a", "=b"], [[-1.0, "=x"], [None, datetime(2026, 3, 2, 8, 5)]]) == (
        b"a,'=b\n-1.0,'=x\n,2026-03-02T08:05:00\n"
    )
