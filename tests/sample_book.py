"""A small book for the tests of the renderers. SYNTHETIC: every name, number and reading here is invented.

The verdicts come from the rule that judges every book, the texts from the one place that words them; only the readings
are made up. Its notes and captions carry hostile text on purpose.
"""

from __future__ import annotations

import hashlib
import io
from dataclasses import replace
from datetime import date, datetime

from buildbook.core.book import (
    Book,
    ChapterResult,
    CheckResult,
    Count,
    InstrumentLine,
    Numbered,
    Photograph,
    PlanLine,
    Report,
)
from buildbook.core.chart import Axis, Chart, Rule, Series
from buildbook.core.decide import decide
from buildbook.core.fault import Fault
from buildbook.core.finding import Finding, Key, Period, Role, Verdict
from buildbook.core.finding_words import result_text, sentence
from buildbook.core.her_marks import HullDrawing, PlaceLine, RowsThere
from buildbook.core.hull import Hull
from buildbook.core.limit import Limit, Term
from buildbook.core.matter import Matter, State
from buildbook.core.quantity import Part, Quantity
from buildbook.core.source import Source, Standing
from buildbook.core.table_view import Cell, Row, TableView
from buildbook.core.where import Where
from buildbook.core.wording import (
    counts_text,
    limit_text,
    source_text,
    subject_text,
    uncertainty_text,
    verdict_text,
)
from buildbook.render.templates import templates_dir
from buildbook.sheet import listing
from buildbook.sheet.words import words

HOSTILE = '<script>alert("note")</script> & <img src="file:///etc/passwd">'
CLIMATE, FILM, PHOTOGRAPHS = "coating/climate.csv", "coating/film thickness.csv", "photographs.csv"
NAMES = {"Z1": "Topsides, port", "Z2": "Topsides, starboard", "Z3": "Transom"}
SOURCES = (
    Source("paint-manual-1", "Air temperature, humidity, dew point", "", "", "paint maker", "handbook", "Read."),
    Source("practice", "Customary practice of the trade", "", "", "", "practice", "No published source."),
)
BY_KEY = {source.key: source for source in SOURCES}
DRY = Limit(
    "K",
    (
        Term(
            "at least 3 K above the dew point",
            Standing.BUILDER,
            "builder",
            "SPEC-07",
            "C",
            "5.1",
            at=Where("hull.toml", 14),
        ),
    ),
    low=3.0,
)
MANUAL = Limit("K", (Term("at least 3 K", Standing.READ, "paint maker", source="paint-manual-1"),), low=3.0)
FILM_LIMIT = Limit("um", (Term("at least 120 µm", Standing.BUILDER, "builder", "SPEC-07", "C", "5.3"),), low=120.0)
LONG_ROWS = 130


def _finding(key: Key, value: float | None, limit: Limit, lines: range, **more: object) -> Finding:
    at = tuple(Where(CLIMATE if limit.unit == "K" else FILM, line) for line in lines)
    period = Period(datetime(2026, 3, 2, 8, 0), datetime(2026, 3, 2, 16, 30))
    if value is None:
        return Finding(key, Verdict.NOT_MEASURED, None, limit, notes=("Planned, but there is no reading.",))
    measured = Quantity.combined(value, limit.unit, (Part("certificate", 0.2), Part("scatter of repeats", 0.15)))
    decision = decide(measured, limit)
    finding = Finding(
        key,
        decision.verdict,
        measured,
        limit,
        margin=decision.margin,
        guard=decision.guard,
        method="worst reading of the coat",
        period=period,
        instruments=("TH-01",),
        at=at,
        working=("dew point from air temperature and relative humidity", "margin = surface − dew point"),
        notes=decision.notes,
    )
    return replace(finding, **more)  # type: ignore[arg-type]


def _numbered(check: str, number: int, finding: Finding) -> Numbered:
    return Numbered(
        f"{check}/{number}",
        f"{check}-{number}",
        finding,
        subject_text(finding.key, NAMES),
        result_text(finding),
        limit_text(finding.limit),
        verdict_text(finding),
        source_text(finding.limit, BY_KEY),
        sentence(finding, NAMES),
        ("Attempt 2 is not in this synthetic book.",),
        uncertainty_text(finding.measured),
    )


def _counts(items: tuple[Numbered, ...]) -> tuple[Count, ...]:
    made = [Count(verdict, sum(item.finding.verdict is verdict for item in items)) for verdict in Verdict]
    return tuple(count for count in made if count.number)


def _climate() -> CheckResult:
    name = "dew-point margin"
    governing = (
        _finding(Key("COA-04", name, "Z2", "primer 1"), 1.2, DRY, range(40, 49), notes=(HOSTILE,)),
        _finding(Key("COA-04", name, "Z3", "primer 1"), None, DRY, range(0)),
        _finding(Key("COA-04", name, "Z2", "primer 1", 2), 3.3, DRY, range(60, 66)),
        _finding(Key("COA-04", name, "Z1", "primer 1"), 5.14, DRY, range(2, 20)),
    )
    beside = _finding(Key("COA-04", name, "Z1", "primer 1", role=Role.REFERENCE), 5.14, MANUAL, range(2, 20))
    items = tuple(_numbered("COA-04", number, finding) for number, finding in enumerate(governing, 1))
    chart = Chart(
        "COA-04-margin",
        "COA-04",
        "The surface stayed more than 3 K above the dew point but for one morning",
        "Dew-point margin over two days: between 1 and 6 kelvin, below the limit of 3 K on the morning of 2 March.",
        Axis("time", kind="time"),
        Axis("dew-point margin", "K"),
        (
            Series(
                "Z1",
                tuple(datetime(2026, 3, 2, hour) for hour in range(8, 18)),
                (1.2, 2.0, 3.1, 4.0, 4.6, 5.2, 5.5, 5.1, 4.8, 4.4),
                "line and dots",
            ),
        ),
        (Rule(3.0, "at least 3 K, builder's specification", forbidden="below"),),
    )
    answer = f"{counts_text([(count.verdict, count.number) for count in _counts(items)], 4)}."
    question = "Was the surface dry when the paint went on?"
    references = (_numbered("COA-04", 5, beside),)
    return CheckResult("COA-04", question, answer, items, references, _counts(items), "", items[2], (chart,))


def _film() -> CheckResult:
    name = "smallest film thickness"
    findings = [_finding(Key("COA-08", name, "Z1", "", 1), 88.0, FILM_LIMIT, range(2, 22))]
    findings += [
        _finding(Key("COA-08", name, "Z2", f"coat {number}"), 121.0 + number, FILM_LIMIT, range(22, 42))
        for number in range(1, 70)
    ]
    items = tuple(_numbered("COA-08", number, finding) for number, finding in enumerate(findings, 1))
    counts = _counts(items)
    answer = f"{counts_text([(count.verdict, count.number) for count in counts], len(items))}."
    return CheckResult("COA-08", "Is the paint as thick as promised?", answer, items, (), counts, "", items[1], ())


def _reports_check() -> CheckResult:
    words = Limit("1", (Term("every fail has a report", Standing.PRACTICE, source="practice"),), words="has a report")
    finding = Finding(Key("REG-04", "report", "Z1"), Verdict.PASS, None, words, "NCR-01, rework, measured again")
    items = (_numbered("REG-04", 1, finding),)
    question = "Was everything that failed put right, or openly accepted?"
    return CheckResult("REG-04", question, "1 finding: 1 pass.", items, (), _counts(items), "", None, ())


def received() -> dict[str, bytes]:
    """The tables as the yard sent them, and the one picture; CRLF, a byte order mark and hostile cells included."""
    climate = "\ufeffat;surface [degC];note\r\n" + "".join(
        f"2026-03-02 08:{line % 60:02d};12,{line % 10};{HOSTILE if line == 5 else ''}\r\n"
        for line in range(2, LONG_ROWS + 2)
    )
    film = "zone,number,reading [um]\n" + "".join(f"Z1,{line - 1},{80 + line}\n" for line in range(2, 42))
    pictures = "file,caption\nphotographs/film.png,Water runs off in a sheet\n"
    hull = "\n".join(f"# line {line} of the synthetic hull" for line in range(1, 21)) + "\n"
    return {
        CLIMATE: climate.encode("utf-8"),
        FILM: film.encode("cp1252"),
        PHOTOGRAPHS: pictures.encode("utf-8"),
        "hull.toml": hull.encode("utf-8"),
        "photographs/1.png": picture(),
    }


def picture(width: int = 60, height: int = 40) -> bytes:
    """A plain PNG."""
    from PIL import Image

    made = io.BytesIO()
    Image.new("RGB", (width, height), (110, 140, 160)).save(made, "PNG")
    return made.getvalue()


def _table(file: str, title: str, chapter: str, columns: tuple[Cell, ...], rows: tuple[Row, ...]) -> TableView:
    data = received()[file]
    place = file.removesuffix(".csv").replace("/", "-").replace(" ", "-")
    return TableView(file, title, chapter, place, columns, rows, "", len(data), hashlib.sha256(data).hexdigest())


def _tables() -> tuple[TableView, ...]:
    at = Cell("at", "at", "", "Date and time")
    surface = Cell("surface", "surface [degC]", "degC", "Temperature of the surface")
    note = Cell("note", "note", "", "Anything a reader should know")
    climate = tuple(
        Row(
            line,
            (f"2026-03-02 08:{line % 60:02d}", f"12,{line % 10}", HOSTILE if line == 5 else ""),
            "surface: expected a number; found 'warm'" if line == 9 else "",
        )
        for line in range(2, LONG_ROWS + 2)
    )
    zone, number = Cell("zone", "zone", "", "Zone"), Cell("number", "number", "", "Running number")
    reading = Cell("reading", "reading [um]", "um", "Film thickness")
    film = tuple(
        Row(line, ("Z1", str(line - 1), str(80 + line)), "", (line, 1) if line in (4, 5) else (1,))
        for line in range(2, 42)
    )
    file, caption = Cell("file", "file", "", "Path of the picture"), Cell("caption", "caption", "", "What to look at")
    pictures = (Row(2, ("photographs/film.png", "Water runs off in a sheet"), ""),)
    empty = TableView("coating/gloss.csv", "Gloss", "coating", "coating-gloss", (zone,), (), "no such file", 0, "")
    return (
        _table(CLIMATE, "Climate log", "coating", (at, surface, note), climate),
        _table(FILM, "Film thickness", "coating", (zone, number, reading), film),
        _table(PHOTOGRAPHS, "Photographs", "", (file, caption), pictures),
        empty,
    )


def _report() -> Report:
    return Report(
        "NCR-01",
        "closed",
        "2026-03-19",
        "Topsides, port (Z1)",
        "SPEC-07 C 5.3",
        "88 ± 0.5 µm, at least 120 µm",
        "rework",
        f"abraded P320, two further coats {HOSTILE}",
        "COA-08/2",
        "designer",
        "2026-03-24",
        ("COA-08/1",),
        Where("nonconformities.csv", 2),
    )


def _hull() -> Hull:
    return Hull(
        name="Synthetic",
        number="XX-EXY00007H526",
        builder="Example Yard",
        model="EY 19",
        as_of=date(2026, 6, 30),
        length_hull=19.0,
        beam=5.2,
        draught=1.4,
        dates=(("launched", date(2026, 6, 1)),),
        demonstration="Invented data: no such yacht and no such yard exist.",
    )


def _drawings() -> tuple[HullDrawing, ...]:
    """Three places on the first page, one of them without a position; one of them and two readings in the chapter."""
    first = PlaceLine(1, "Z1", "Topsides, port", 9.5, -2.4, 1.1, Verdict.FAIL, ("COA-08/1",), Where("places.csv", 2))
    second = PlaceLine(
        2, "Z2", "Topsides, starboard", 9.5, 2.4, 1.1, Verdict.FAIL, ("COA-04/1",), Where("places.csv", 3)
    )
    third = PlaceLine(
        3,
        "Z3",
        f"Transom {HOSTILE}",
        None,
        None,
        None,
        None,
        (),
        Where("places.csv", 4),
        unplaced="no position in the table",
    )
    film = tuple(
        PlaceLine(
            number,
            "Z1",
            f"reading {number}",
            float(number),
            -2.4,
            1.0,
            None,
            (),
            Where(FILM, number),
            rows=(RowsThere(FILM, number, 1),),
        )
        for number in (4, 5)
    )
    return (
        HullDrawing("where", "", "Places on her", "Two marks.", "", (first, second, third)),
        HullDrawing("coating-places", "coating", "Places this chapter speaks of", "One mark.", "", (first,)),
        HullDrawing("film", "coating", "Film thickness", "Two marks.", FILM, film),
    )


def book() -> Book:
    """The synthetic book with its listing sheet."""
    bare = without_listing()
    return replace(bare, listing=listing(bare, words(templates_dir())))


def without_listing() -> Book:
    """The synthetic book before its listing sheet is made."""
    checks = (_climate(), _film())
    register = (_reports_check(),)
    items = tuple(item for check in (*checks, *register) for item in check.governing)
    exceptions = tuple(item for item in items if item.finding.verdict.exception)
    coating = _counts(tuple(item for check in checks for item in check.governing))
    total = [(count.verdict, count.number) for count in _counts(items)]
    chapters = (
        ChapterResult(
            "coating",
            "Preparation and paint",
            "2 matters are open today. 2 of 74 findings failed.",
            "74 findings; the smallest margin is that of the transom.",
            checks,
            coating,
            checks[0].nearest,
            (CLIMATE, FILM, "coating/gloss.csv"),
        ),
        ChapterResult(
            "register",
            "Identity, plan and exceptions",
            "None of 1 findings failed.",
            "1 finding: 1 pass.",
            register,
            register[0].counts,
            None,
            (PHOTOGRAPHS,),
        ),
    )
    return Book(
        version="0.0.0",
        hull=_hull(),
        title="Quality book of hull XX-EXY00007H526",
        identity=(("Hull number", "XX-EXY00007H526"), ("Builder", "Example Yard"), ("Length of hull", "19.0 m")),
        chapters=chapters,
        exceptions=exceptions,
        matters=tuple(Matter(State.OPEN, item.sentence, item.told[0], (), (item.number,), ()) for item in exceptions),
        in_short="1 of 73 findings failed: 1 open today.",
        counts=_counts(items),
        summary=f"{counts_text(total, len(items))}.",
        faults=(
            Fault(
                Where(CLIMATE, 9, "surface [degC]"),
                "a number",
                f"'{HOSTILE}'",
                "COA-04 is no better than inconclusive.",
            ),
        ),
        reports=(_report(),),
        plan=(
            PlanLine(
                "ITP-14",
                "topcoat",
                "film thickness",
                "COA-08",
                "Z1",
                "hold point, released by QA KL",
                "20 readings",
                "20 readings",
                Verdict.PASS,
                Where("plan.csv", 15),
            ),
        ),
        instruments=(
            InstrumentLine(
                "TH-01",
                "thermo-hygrometer",
                "CAL-2025-118",
                "2025-09-12",
                "2026-09-12",
                "−10 to 60 °C",
                "0.1 °C",
                "0.3 °C, k = 2",
                33,
                Verdict.PASS,
                Where("instruments.csv", 2),
            ),
        ),
        tables=_tables(),
        unused_files=("coating/old/notes.txt",),
        photographs=(
            Photograph(
                "photographs/film.png",
                "photographs/1.png",
                f"Water runs off in a sheet {HOSTILE}",
                "Drawing of an unbroken water film",
                "Topsides, port (Z1)",
                "2026-03-02",
                "COA-04",
                hashlib.sha256(b"synthetic original").hexdigest(),
                Where(PHOTOGRAPHS, 2),
                hashlib.sha256(picture()).hexdigest(),
            ),
        ),
        drawings=_drawings(),
        sources=SOURCES,
        limitations=(
            "It is made for the builder from the builder's records. It is not a survey and not a certificate.",
            "It describes this hull on the days and at the places of the readings.",
        ),
    )
