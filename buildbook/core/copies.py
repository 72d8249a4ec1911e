"""Copies of tables that are published in place of a file as received, where something of that file is withheld."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from buildbook.core.published import IN_PART, RECEIVED, Withheld

if TYPE_CHECKING:
    from buildbook.core.table_view import TableView


def copies(tables: Iterable[TableView], withheld: Iterable[Withheld]) -> dict[str, str]:
    """The name of each copy in the output, by its table.

    Of a table without its withheld column; and of every table with rows that stands in a workbook of which something is
    withheld, since a workbook is published whole or not at all.
    """
    withheld = tuple(withheld)
    made = {it.file: it.instead for it in withheld if it.instead}
    kept = {it.name for it in withheld}
    whole = {it.file for it in withheld if not it.instead}
    for view in tables:
        if view.rows and view.workbook and RECEIVED + view.workbook in kept and view.file not in whole:
            made.setdefault(view.file, IN_PART + view.file)
    return made
