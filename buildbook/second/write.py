"""The folder of a comparison: everything is made in memory, and put in place whole."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from buildbook.core.face import PLAIN, Paper
from buildbook.core.published import RELEASE
from buildbook.core.shown_units import ShownUnits
from buildbook.render.jsonfile import written
from buildbook.render.package import assets, check_out
from buildbook.render.pdf import NotPossible
from buildbook.render.place import COMPARISON as MARKER
from buildbook.render.place import MARKER_START, put, restored
from buildbook.render.sums import list_of_sums
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import theme_files
from buildbook.second.comparing import Compared, compare
from buildbook.second.comparison import Comparison
from buildbook.second.data import comparison_csv, comparison_json, schema
from buildbook.second.in_units import in_units
from buildbook.second.page import SURVEY_SUMS, own_styles, page_html, page_pdf
from buildbook.second.reading import read_both

MARKER_TEXT = f"{MARKER_START} The next comparison replaces it whole: keep nothing else in it.\n"
PAGE, PDF, JSON, SCHEMA, CSV = (f"comparison.{ending}" for ending in ("html", "pdf", "json", "schema.json", "csv"))
SCRIPT = "style/book.js"


@dataclass(frozen=True, slots=True)
class Done:
    """What was written: the comparison, the names of the files, what to tell."""

    comparison: Comparison
    files: tuple[str, ...]
    notices: tuple[str, ...]


def write_comparison(
    yard: Path,
    survey: Path,
    out: Path,
    paper: Paper = Paper.A4,
    progress: Callable[[str], None] = lambda _: None,
    units: ShownUnits = ShownUnits.METRIC,
) -> Done:
    """Compare two folders and write the result.

    Args:
        yard: the hull folder.
        survey: the surveyor's folder.
        out: the folder to write; absent, empty, or written by an earlier comparison.
        paper: the paper of the printed comparison.
        progress: told what is being done.
        units: what page and print tell figures in; the data stay in the units of the columns.

    Raises:
        Refused: `out` is not ours to replace, or lies in one of the folders that are read.
        NotTheSameHull: the survey is of another hull, or does not say of which.
        Swapped: the first folder is no hull folder, the second is one, or both are one folder.
        NothingFilled: the survey has no reading.
        FolderUnreadable, and OSError where something cannot be read or written.
    """

    def check() -> None:
        for folder in (yard, survey):
            check_out(out, folder, mark=MARKER)

    restored(out)
    check()
    compared = compare(*read_both(yard, survey, progress))
    told = in_units(compared, units)
    files, notices = _contents(compared, told, paper, progress, pdf=True, units=units)
    put(files, Path(os.path.abspath(out)), check)
    return Done(told.comparison, tuple(sorted(files)), notices)


def contents(
    compared: Compared,
    paper: Paper = Paper.A4,
    progress: Callable[[str], None] = lambda _: None,
    *,
    pdf: bool = True,
    units: ShownUnits = ShownUnits.METRIC,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Every file of the folder by its name, and notices; equal comparisons give equal bytes."""
    return _contents(compared, in_units(compared, units), paper, progress, pdf=pdf, units=units)


def _contents(
    compared: Compared,
    told: Compared,
    paper: Paper,
    progress: Callable[[str], None],
    *,
    pdf: bool,
    units: ShownUnits,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """The same; data of the comparison as it was made, pages of it as it is told."""
    made: dict[str, bytes] = {
        JSON: comparison_json(compared.comparison),
        SCHEMA: written(schema()),
        CSV: comparison_csv(compared.comparison),
    }
    if compared.survey_sums:
        made[SURVEY_SUMS] = compared.survey_sums
    notices: tuple[str, ...] = ()
    if pdf:
        progress(PDF)
        try:
            made[PDF] = page_pdf(told, paper, units)
        except NotPossible as error:
            notices = (str(error),)
    progress(PAGE)
    beside = [name for name in (PDF, CSV, JSON) if name in made]
    made[PAGE] = page_html(told, beside, units).encode("utf-8")
    styles = {name: data for name, data in assets(templates_dir()).items() if name != SCRIPT}
    made |= {**styles, **theme_files(PLAIN), **own_styles()}
    made[MARKER] = MARKER_TEXT.encode("utf-8")
    made[RELEASE] = list_of_sums(made)
    return made, notices
