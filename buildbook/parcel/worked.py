"""Worked calculations: one text per finding, with everything that is needed to redo it on paper."""

from __future__ import annotations

import ast
import inspect
import math
import textwrap
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from buildbook.core.book import Book, Numbered
from buildbook.core.check import Check, formula_words
from buildbook.core.evidence import Evidence
from buildbook.core.finding import Finding, Role
from buildbook.core.limit import Limit
from buildbook.core.quantity import Quantity
from buildbook.core.record import Record, about
from buildbook.core.where import Where
from buildbook.core.wording import limit_text, period_text, term_text, unit_text
from buildbook.parcel.csv_text import cell
from buildbook.render.content import rows as runs
from buildbook.render.templates import plain_environment

MOST_ROWS = 60  # of one table in one text; the others are named by their lines
NEAR = 1e-9


@dataclass(frozen=True, slots=True)
class PutIn:
    """One row: its line (empty for a whole file), and its cells as `head = value unit`."""

    line: str
    cells: str


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one table behind a finding; `more` are the lines of those that are not written out."""

    file: str
    export: str
    rows: tuple[PutIn, ...]
    more: str


@dataclass(frozen=True, slots=True)
class Formula:
    """One formula of a check: its name, what its docstring says of it, and the lines that compute it."""

    name: str
    lines: tuple[str, ...]
    arithmetic: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the text of one finding says; see templates/parcel/worked.txt.j2."""

    number: str
    subject: str
    rule_off: str
    check: str
    question: str
    reference: bool
    attempt: int
    value: str
    printed: str
    observed: str
    verdict: str
    limit: str
    ends: tuple[str, ...]
    terms: tuple[str, ...]
    method: str
    period: str
    instruments: tuple[str, ...]
    tables: tuple[Rows, ...]
    working: tuple[str, ...]
    parts: tuple[str, ...]
    total: tuple[str, ...]
    margin: tuple[str, ...]
    notes: tuple[str, ...]
    formulas: tuple[Formula, ...]


@dataclass(frozen=True, slots=True)
class Behind:
    """The rows of the evidence by their place, and the columns that are withheld by the file of their table."""

    records: Mapping[Where, Record]
    hidden: Mapping[str, Collection[str]]
    instruments: Mapping[str, tuple[Record, ...]]

    @classmethod
    def of(cls, evidence: Evidence, hidden: Mapping[str, Collection[str]]) -> Behind:
        """Look the rows of all tables up once; instruments are the rows that `instruments.csv` has for each id."""
        return cls.of_rows(evidence.records.values(), hidden)

    @classmethod
    def of_rows(cls, tables: Iterable[Iterable[Record]], hidden: Mapping[str, Collection[str]]) -> Behind:
        """The same from the rows of each table."""
        records = {row.where.row: row for rows in tables for row in rows}
        instruments: dict[str, tuple[Record, ...]] = {}
        for row in records.values():
            if row.table.file == "instruments.csv":
                name = str(getattr(row, row.table.key[0]))
                instruments[name] = (*instruments.get(name, ()), row)
        return cls(records, hidden, instruments)


def worked_texts(book: Book, checks: Sequence[Check], behind: Behind) -> Iterator[tuple[str, bytes]]:
    """The text of every finding by its number.

    Args:
        book: the finished book.
        checks: the checks of the book, for their formulas.
        behind: the rows that findings rest on.

    Returns:
        Number (`COA-04/7`) and text, UTF-8, in the order of the book.
    """
    template = plain_environment().get_template("parcel/worked.txt.j2")
    formulas = {check.id: tuple(_formula(check)) for check in checks}
    questions = {check.id: check.question for check in checks}
    sources = {source.key: source for source in book.sources}
    for item in book.findings:
        check = item.finding.key.check
        limit = item.finding.limit
        terms = tuple(term_text(term, sources) for term in limit.terms) if limit else ()
        sheet = _sheet(item, behind, terms, questions.get(check, ""), formulas.get(check, ()))
        text = template.render(it=sheet, hull=book.hull.number, as_of=book.hull.as_of, demonstration=book.hull.label)
        yield item.number, text.encode("utf-8")


def _formula(check: Check) -> Iterator[Formula]:
    for function in check.formulas:
        names = ", ".join(inspect.signature(function).parameters)
        words = tuple(formula_words(function).splitlines())
        yield Formula(f"{function.__name__}({names})", words, tuple(_arithmetic(function)))


def _arithmetic(function: Callable[..., object]) -> Iterator[str]:
    """The lines that compute a formula, its docstring left out, before them the constants that they name."""
    source = inspect.getsource(function)
    module = inspect.getmodule(function)
    for name in inspect.unwrap(function).__code__.co_names:
        value = getattr(module, name, None)
        if isinstance(value, (int, float)) and name.isupper():
            yield f"{name} = {value!r}"
    source = textwrap.dedent(source)
    (defined,) = ast.parse(source).body
    if isinstance(defined, ast.FunctionDef):
        body = defined.body[1:] if ast.get_docstring(defined) is not None else defined.body
        yield from textwrap.dedent("\n".join(source.splitlines()[body[0].lineno - 1 :])).splitlines()


def _sheet(
    item: Numbered, behind: Behind, terms: tuple[str, ...], question: str, formulas: tuple[Formula, ...]
) -> Sheet:
    finding = item.finding
    measured = finding.measured
    title = f"{item.number}  {item.subject}"
    return Sheet(
        number=item.number,
        subject=item.subject,
        rule_off="=" * min(len(title), 120),
        check=finding.key.check,
        question=question,
        reference=finding.key.role is Role.REFERENCE,
        attempt=finding.key.attempt,
        value=f"{measured.value!r} {unit_text(measured.unit)} ({measured.kind.value})" if measured else "",
        printed=item.value,
        observed=finding.observed if measured else "",
        verdict=item.verdict,
        limit=limit_text(finding.limit),
        ends=tuple(_ends(finding.limit)),
        terms=terms,
        method=finding.method,
        period=period_text(finding.period),
        instruments=tuple(_instruments(finding, behind)),
        tables=tuple(_tables(finding.at, behind)),
        working=tuple(" ".join(line.split()) for line in finding.working),
        parts=tuple(f"{part.name}: {part.standard!r}{_degrees(part.degrees)}" for part in measured.parts)
        if measured
        else (),
        total=tuple(_total(measured)) if measured else (),
        margin=tuple(_margin(finding)),
        notes=tuple(dict.fromkeys((*finding.notes, *item.told))),
        formulas=formulas,
    )


def _degrees(degrees: int | None) -> str:
    return "" if degrees is None else f" ({degrees} degrees of freedom)"


def _ends(limit: Limit | None) -> Iterator[str]:
    """Both ends with full digits, whether they are excluded, natural bounds, guard factor."""
    if limit is None:
        return
    for name, value, strict in (("lower", limit.low, limit.low_strict), ("upper", limit.high, limit.high_strict)):
        if value is not None:
            allowed = "the limit itself is not allowed" if strict else "the limit itself is allowed"
            yield f"{name} limit {value!r} {unit_text(limit.unit)}; {allowed}".replace(" ;", ";")
    for name, value in (("below", limit.natural_low), ("above", limit.natural_high)):
        if value is not None:
            yield f"no true value lies {name} {value!r} {unit_text(limit.unit)}".rstrip()
    if not limit.in_words:
        yield f"guard band w = {limit.guard!r} × U"
    if limit.words:
        yield limit.words


def _instruments(finding: Finding, behind: Behind) -> Iterator[str]:
    for name in finding.instruments:
        rows = behind.instruments.get(name, ())
        if not rows:
            yield f"{name}: not in instruments.csv"
        for row in rows:
            yield f"{name}: {row.where.stands_in}:{row.where.line}: {_cells(row, ())}"


def _tables(at: Iterable[Where], behind: Behind) -> Iterator[Rows]:
    by_file: dict[str, list[Where]] = {}
    for where in at:
        by_file.setdefault(where.file, []).append(where.row)
    for file, places in by_file.items():
        places = list(dict.fromkeys(places))
        rows = tuple(_put_in(where, behind) for where in places[:MOST_ROWS])
        (more,) = runs(places[MOST_ROWS:]) or (None,)
        lines = ", ".join(run.text for run in more.runs) if more else ""
        yield Rows(places[0].stands_in, f"tables/{file}", rows, lines)


def _put_in(where: Where, behind: Behind) -> PutIn:
    row = behind.records.get(where)
    words = "see the file as received" if row is None else _cells(row, behind.hidden.get(where.file, ()))
    return PutIn("" if where.line is None else f"line {where.line}: ", words)


def _cells(row: Record, hidden: Collection[str]) -> str:
    """The cells of a row that are not empty, as `head = value unit`."""
    made = []
    for name, info in row.columns().items():
        value = getattr(row, name)
        if value is not None and name not in hidden:
            words = " ".join(cell(value).split())
            made.append(f"{name} = {words} {about(info, 'unit') or ''}".strip())
    return "; ".join(made)


def _total(measured: Quantity) -> Iterator[str]:
    """How U comes from its parts; only its value where it does not."""
    if measured.expanded is None:
        yield "counted: it carries no uncertainty" if measured.kind.value == "counted" else "no uncertainty was stated"
        return
    unit = unit_text(measured.unit)
    u = math.sqrt(math.fsum(part.standard**2 for part in measured.parts))
    if measured.parts and math.isclose(measured.coverage * u, measured.expanded, rel_tol=NEAR):
        yield f"combined: u = root of the sum of their squares = {u!r} {unit}".rstrip()
        yield f"U = k u = {measured.coverage!r} × {u!r} = {measured.expanded!r} {unit}".rstrip()
    else:
        yield f"U = {measured.expanded!r} {unit}, coverage factor k = {measured.coverage!r}".replace(" ,", ",")
    if measured.degrees is not None:
        yield f"k is Student's t for {measured.degrees} effective degrees of freedom"


def _margin(finding: Finding) -> Iterator[str]:
    limit, measured, margin, guard = finding.limit, finding.measured, finding.margin, finding.guard
    if limit is None or measured is None or margin is None:
        return
    unit, value = unit_text(limit.unit), measured.value
    if limit.low is not None:
        yield f"value − lower limit = {value!r} − {limit.low!r} = {value - limit.low!r} {unit}".rstrip()
    if limit.high is not None:
        yield f"upper limit − value = {limit.high!r} − {value!r} = {limit.high - value!r} {unit}".rstrip()
    yield f"margin m = {margin!r} {unit}".rstrip() + (
        ", the smaller of both" if None not in (limit.low, limit.high) else ""
    )
    if guard is not None:
        yield f"guard band w = {guard!r} {unit}".rstrip() + _guard_of(measured, limit.guard)


def _guard_of(measured: Quantity, factor: float) -> str:
    """Of which U the guard band is a part: that which covers what k = 2 covers of a normal distribution, 95.45 %."""
    at_two = measured.at_two
    if at_two is None:
        return " (no U, so none)"
    same = at_two == measured.expanded
    few = "; few readings: k is larger than 2, so that U covers as much" if measured.degrees is not None else ""
    words = f"this U{few}" if same else f"U brought to k = 2: 2 × U / {measured.coverage!r}"
    return f" = {factor!r} × {at_two!r} ({words})"
