"""What is said of a row that cannot be used is true of its table."""

from __future__ import annotations

from buildbook.chapters import CHECKS, TABLES


def test_a_table_says_that_no_finding_changes_where_no_check_rests_on_it() -> None:
    rested_on = {kind for check in CHECKS for kind in check.tables}
    assert {kind for kind in TABLES if kind.table.judged} == rested_on
    assert all("No finding " in kind.table.row_lost for kind in TABLES if not kind.table.judged)
