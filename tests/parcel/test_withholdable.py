"""What may be withheld is what nothing rests on: held by changing every such cell of the demonstration."""

from __future__ import annotations

import csv
import shutil
from pathlib import Path
from typing import get_args

from buildbook.chapters import CHAPTERS
from buildbook.core.record import Record, about
from buildbook.pipeline import Made, make_book
from buildbook.render.jsonfile import plain
from tests.parcel.small_hull import HULL

KINDS = tuple(dict.fromkeys(kind for chapter in CHAPTERS for kind in chapter.tables))


def withholdable() -> list[tuple[type[Record], str]]:
    return [(kind, name) for kind in KINDS for name, info in kind.columns().items() if about(info, "withholdable")]


def test_what_may_be_withheld() -> None:
    """The list is short and every entry has its reason; a new one is a decision, not an accident."""
    reasons = {
        ("coating/batches.csv", "supplier"): "whom the yard buys from is its own business",
        ("laminate/deliveries.csv", "supplier"): "the same",
        ("batches.csv", "supplier"): "the same",
    }
    assert {(kind.table.file, name) for kind, name in withholdable()} == set(reasons)
    assert [kind.table.file for kind in KINDS if kind.table.withholdable] == ["laminate/deliveries.csv"]


def test_only_text_that_is_no_key_and_refers_to_nothing_may_be_withheld() -> None:
    for kind, name in withholdable():
        info = kind.columns()[name]
        assert {part for part in get_args(info.annotation) if part is not type(None)} == {str}
        assert name not in kind.table.key
        assert about(info, "refers") is None


def test_no_check_rests_on_a_table_that_may_be_withheld_whole() -> None:
    used = {kind for chapter in CHAPTERS for check in chapter.checks for kind in check.tables}
    assert not [kind for kind in used if kind.table.withholdable]
    assert not [
        (kind, name)
        for kind in KINDS
        for name, info in kind.columns().items()
        if (other := about(info, "refers")) is not None and other.table.withholdable
    ]


def test_no_finding_changes_by_a_letter_with_what_may_be_withheld(made: Made, tmp_path: Path) -> None:
    hull = Path(shutil.copytree(HULL, tmp_path / "hull"))
    for kind, name in withholdable():
        path = hull / kind.table.file
        with path.open(encoding="utf-8", newline="") as handle:
            rows = list(csv.DictReader(handle))
        assert any(row[name] for row in rows), (path, name)
        for row in rows:
            row[name] = "another word altogether"
        with path.open("w", encoding="utf-8", newline="") as handle:
            writer = csv.DictWriter(handle, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    for kind in KINDS:
        if kind.table.withholdable:
            (hull / kind.table.file).unlink()
    other = make_book(hull)
    assert plain(other.book.chapters) == plain(made.book.chapters)
    assert plain(other.book.exceptions) == plain(made.book.exceptions)
    assert plain(other.book.matters) == plain(made.book.matters)
