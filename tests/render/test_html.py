"""The site: well formed, every link leads somewhere, every value is that of the book, and nobody needs a script."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise
from urllib.parse import unquote

import pytest
from fontTools.ttLib import TTFont

from buildbook.core.book import Book, Numbered
from buildbook.core.hull import Hull
from buildbook.core.matter import Matter, State
from buildbook.render.content import OPEN_FINDINGS, _letter, rows, there, told_first
from buildbook.render.html import worst
from buildbook.render.package import contents
from buildbook.render.templates import fonts_dir, templates_dir
from tests.render.contrast import contrast, theme_colours
from tests.render.site_reader import Read, own_script, read_page, squeezed
from tests.sample_book import CLIMATE, HOSTILE, received

HEADINGS = ("Why it matters", "How it was measured", "If it is missed", "What this does not show")


@pytest.fixture(scope="module")
def read(pages: Mapping[str, str]) -> Mapping[str, Read]:
    return {name: read_page(text) for name, text in pages.items()}


def everything(book: Book) -> list[Numbered]:
    checks = [check for chapter in book.chapters for check in chapter.checks]
    return [item for check in checks for item in (*check.governing, *check.references)]


def test_every_page_is_well_formed(read: Mapping[str, Read]) -> None:
    assert {name: page.faults for name, page in read.items() if page.faults} == {}


def test_reader_of_these_tests_notices_what_is_not_well_formed() -> None:
    assert read_page("<p><b>x</p>").faults
    assert read_page("<div>").faults
    assert not read_page('<p id="a">x<br>y</p>').faults


def test_no_id_stands_twice_on_a_page(read: Mapping[str, Read]) -> None:
    twice = {name: {i for i in page.ids if page.ids.count(i) > 1} for name, page in read.items()}
    assert {name: ids for name, ids in twice.items() if ids} == {}


def test_every_address_leads_to_a_file_and_every_anchor_exists(
    read: Mapping[str, Read], made: Mapping[str, bytes]
) -> None:
    broken = []
    for name, page in read.items():
        for tag, address in page.addresses:
            path, _, anchor = address.partition("#")
            target = posixpath.normpath(posixpath.join(posixpath.dirname(name), unquote(path))) if path else name
            if target not in made or (anchor and anchor not in read[target].ids):
                broken.append((name, tag, address))
    assert broken == []


def test_references_between_elements_hold(read: Mapping[str, Read]) -> None:
    broken = []
    for name, page in read.items():
        for _, attributes in page.tags:
            for wanted in attributes.get("aria-labelledby", "").split():
                if wanted not in page.ids:
                    broken.append((name, wanted))
    assert broken == []


# No script but a file of the same origin (CSP level 3, sections 2.3.1 and 6.7.2: no hash, no nonce, nothing inline).
POLICY = "script-src 'self'; connect-src 'none'; object-src 'none'; base-uri 'none'; form-action 'none'"


def policies(page: Read) -> list[str]:
    return [one["content"] for one in page.all("meta") if one.get("http-equiv") == "Content-Security-Policy"]


def script_code(made: Mapping[str, bytes]) -> bytes:
    """The script without its comments and without the name of the SVG name space, which is no address."""
    code = re.sub(rb"/\*.*?\*/|(?<!:)//[^\n]*", b"", made["style/book.js"], flags=re.DOTALL)
    return code.replace(b"http://www.w3.org/2000/svg", b"")


def test_nothing_is_loaded_from_elsewhere_and_the_only_script_is_the_book_s_own_file(
    read: Mapping[str, Read], pages: Mapping[str, str], made: Mapping[str, bytes]
) -> None:
    for name, page in read.items():
        assert [a for tag, a in page.addresses if tag in ("link", "img", "image", "use") and ":" in a] == [], name
        assert page.all("script") == own_script(name), name
        assert re.findall(r"<script\b[^>]*>(.*?)</script>", pages[name], re.DOTALL) == [""], name
        assert [a for _, attributes in page.tags for a in attributes if a.startswith("on")] == [], name
        assert policies(page) == [POLICY], name
    assert not re.search(rb"https?:|//[a-z]|\bfetch\b|XMLHttp|import|eval|innerHTML|Storage", script_code(made))
    for name, data in made.items():
        if name.endswith(".css"):
            text = data.decode("utf-8")
            assert not re.search(r"@import|https?:", text), name
            assert [url for url in re.findall(r"url\([\"']?([^)\"']*)", text) if not url.startswith("fonts/")] == []


def test_every_page_says_where_it_is_and_carries_label_hull_number_and_digest(
    read: Mapping[str, Read], made: Mapping[str, bytes], sample_book: Book
) -> None:
    import hashlib

    short = hashlib.sha256(made["SHA256SUMS"]).hexdigest()[:12]
    for name, page in read.items():
        text = squeezed(page.text)
        assert text.count(sample_book.hull.demonstration) >= 2, name
        assert sample_book.hull.number in text, name
        assert short in text, name
        assert len(page.all("h1")) == 1, name
        assert page.all("html")[0]["lang"] == "en", name
        current = [a["aria-current"] for _, a in page.tags if "aria-current" in a]
        assert len(current) == 1, name
        assert ("true" if name.startswith("evidence/") and name != "evidence/index.html" else "page") == current[0]


def test_previous_and_next_go_through_the_whole_book(read: Mapping[str, Read]) -> None:
    name, seen = "index.html", ["index.html"]
    while True:
        onward = [a["href"] for a in read[name].all("a") if a.get("rel") == "next"]
        if not onward:
            break
        following = posixpath.normpath(posixpath.join(posixpath.dirname(name), onward[0]))
        back = [a["href"] for a in read[following].all("a") if a.get("rel") == "prev"]
        assert posixpath.normpath(posixpath.join(posixpath.dirname(following), back[0])) == name
        name = following
        seen.append(name)
    listed = [name for name in read if not name.startswith("evidence/") or name == "evidence/index.html"]
    assert sorted(seen) == sorted(listed)


def test_headings_go_down_by_one_step(read: Mapping[str, Read]) -> None:
    for name, page in read.items():
        levels = [int(tag[1]) for tag, _ in page.tags if re.fullmatch("h[1-6]", tag)]
        # The contents beside the text start again at the second level.
        assert levels[0] == 1, name
        assert [b for a, b in pairwise(levels) if b > a + 1] == [], name


def test_every_finding_is_shown_once_in_its_chapter_with_the_texts_of_the_book(
    read: Mapping[str, Read], sample_book: Book
) -> None:
    for chapter in sample_book.chapters:
        page = read[f"{chapter.key}.html"]
        anchored = [a for _, a in page.tags if "data-finding" in a and "id" in a]
        items = [item for check in chapter.checks for item in (*check.governing, *check.references)]
        assert sorted(a["data-finding"] for a in anchored) == sorted(item.number for item in items)
        shown = {f.number: f for f in page.findings}
        for item in items:
            got = shown[item.number]
            assert (squeezed(got.value), squeezed(got.limit)) == (squeezed(item.value), squeezed(item.limit))
            assert squeezed(got.verdict) == item.verdict


def test_governing_findings_keep_the_order_of_the_book_and_references_stand_beside(read: Mapping[str, Read]) -> None:
    numbers = [a["data-finding"] for _, a in read["coating.html"].tags if "data-finding" in a and "id" in a]
    assert numbers[:5] == ["COA-04/1", "COA-04/2", "COA-04/3", "COA-04/4", "COA-04/5"]
    row = next(a for _, a in read["coating.html"].tags if a.get("id") == "COA-04-5")
    assert "reference" in row["class"].split()


def test_more_findings_than_a_reader_wants_at_once_are_folded_but_there(pages: Mapping[str, str]) -> None:
    folded = pages["coating.html"].split('<details class="full">')[1]
    assert f"{70 - OPEN_FINDINGS} more findings" in folded
    assert folded.count('data-finding="COA-08/') == 70 - OPEN_FINDINGS


def test_exceptions_come_before_the_chapters_and_all_are_listed(
    read: Mapping[str, Read], pages: Mapping[str, str], sample_book: Book
) -> None:
    first = pages["index.html"]
    assert 0 < first.index("What went wrong") < first.index("Chapter by chapter") < first.index("Her particulars")
    assert sample_book.summary in squeezed(read["index.html"].text)
    listed = [finding.number for finding in read["exceptions.html"].findings]
    assert listed == [number for matter in sample_book.matters for number in matter.findings]
    assert set(listed) == {item.number for item in sample_book.exceptions}
    assert len(listed) == 4
    for sentence in sample_book.limitations:
        assert sentence in squeezed(read["index.html"].text)


def test_places_are_marked_on_both_drawings_and_lead_to_findings_there(
    read: Mapping[str, Read], pages: Mapping[str, str]
) -> None:
    for drawing in ("where-profile", "where-plan"):
        marks = [i for i in read["index.html"].ids if i.startswith(f"{drawing}-mark-")]
        assert marks == [f"{drawing}-mark-1", f"{drawing}-mark-2"]
    assert pages["index.html"].count('href="#place-1"') == 2
    row = re.search(r'<tr role="row" id="place-1" data-mark="1">.*?</tr>', pages["index.html"], re.DOTALL)
    assert row is not None
    assert re.search(r'<span class="word">fail</span>', row.group())
    assert re.search(r'fail, open today: smallest film thickness <a href="coating\.html#COA-08-1">', row.group())


def test_a_place_without_a_position_is_listed_as_such(pages: Mapping[str, str]) -> None:
    row = re.search(r'<tr role="row" id="place-3" data-mark="3">.*?</tr>', pages["index.html"], re.DOTALL)
    assert row is not None
    assert "not on the drawing: no position in the table" in row.group()
    assert "at-mark" not in row.group()


def test_rows_and_findings_lead_to_the_marks_of_their_chapter_and_marks_to_rows(pages: Mapping[str, str]) -> None:
    """The readings of lines 4 and 5 say their position themselves: the drawing is on the page of their table."""
    film = pages["evidence/coating-film-thickness.html"]
    rows = dict(re.findall(r'<tr id="L(\d+)"( data-mark="\d+")', film))
    assert (rows["4"], rows["5"], rows["6"]) == (' data-mark="4"', ' data-mark="5"', ' data-mark="1"')
    assert re.search(r'<a id="film-profile-mark-4" class="mark [^"]+" data-mark="4" href="#L4">', film)
    assert 'href="#film-profile-mark-4" data-mark="4">4</a>' in film
    assert 'href="../coating.html#coating-places-profile-mark-1" data-mark="1">1</a>' in film
    assert 'href="#coating-places-at-1"' in pages["coating.html"]


@pytest.mark.parametrize(
    ("hull", "views", "words"),
    [
        (Hull(), 0, "Two marks."),
        (Hull(length_hull=19.0), 2, "schematic, from her main dimensions only"),
        (Hull(outline=((0.0, 0.0), (9.0, 1.0), (19.0, 2.0))), 1, "Profile of the hull, aft half, to scale"),
    ],
)
def test_she_is_drawn_as_far_as_her_records_go(sample_book: Book, hull: Hull, views: int, words: str) -> None:
    from dataclasses import replace

    files, *_ = contents(replace(sample_book, hull=hull), received(), pdf=False)
    page = files["index.html"].decode("utf-8")
    part = page[page.index('id="where"') : page.index('id="place-1"')]
    assert part.count('class="where halves"') == views
    assert part.count("<svg") == 2 * views, "each in two halves"
    assert words in squeezed(part)


def test_exceptions_at_a_place_that_stand_alike_are_named_together(sample_book: Book) -> None:
    from dataclasses import replace

    one, two, three, *_ = sample_book.exceptions
    place = replace(sample_book.places[0], findings=(one.number, two.number, three.number))
    states = {one.number: (one, "open today"), two.number: (two, ""), three.number: (one, "open today")}
    groups = there(place, states)
    assert [(group.words, len(group.items)) for group in groups] == [("fail, open today", 2), (two.verdict, 1)]


def test_counts_carry_their_denominator(read: Mapping[str, Read]) -> None:
    for text in ("pass 71 of 75", "fail 2 of 75", "not measured 1 of 75"):
        assert text in squeezed(read["index.html"].text)


def test_every_row_of_a_table_has_an_anchor_and_a_bad_row_says_why(read: Mapping[str, Read], sample_book: Book) -> None:
    for table in sample_book.tables:
        page = read[f"evidence/{table.anchor}.html"]
        assert [i for i in page.ids if re.fullmatch(r"L\d+", i)] == [f"L{row.line}" for row in table.rows]
    assert "Not used: surface: expected a number; found 'warm'" in read["evidence/coating-climate.html"].text


def test_every_finding_leads_to_its_rows(read: Mapping[str, Read]) -> None:
    links = [address for _, address in read["coating.html"].addresses]
    assert "evidence/coating-climate.html#L40" in links
    assert "evidence/coating-film-thickness.html#L2" in links
    assert "evidence/hull-toml.html#L14" in links


def test_table_without_rows_says_so(read: Mapping[str, Read]) -> None:
    assert "no such file" in read["evidence/coating-gloss.html"].text
    assert "no such file" in read["coverage.html"].text


def test_a_note_with_markup_is_shown_as_text(read: Mapping[str, Read], pages: Mapping[str, str]) -> None:
    places = ("coating.html", "exceptions.html", "evidence/coating-climate.html", "evidence/index.html")
    for name in places:
        assert HOSTILE in read[name].text, name
        assert read[name].all("script") == own_script(name), name
        assert "file:" not in [address[:5] for _, address in read[name].addresses], name


def test_chapter_reads_in_the_agreed_order(pages: Mapping[str, str], sample_book: Book) -> None:
    text = pages["coating.html"]
    chapter = sample_book.chapters[0]
    order = [
        text.index('<div class="question">'),
        text.index(f'<p class="answer">{chapter.in_short}'),
        text.index('<p class="state">Open today'),
        text.index("The questions of this chapter"),
        text.index(f"<p>{chapter.answer}"),
        text.index("What this means aboard"),
        text.index('<h2 id="COA-04">'),
        text.index("<h3>How it was measured"),
        text.index("photographs/1.png"),
        text.index('<figure class="chart'),
        text.index("<figcaption>The surface stayed"),
        text.index('<h3 class="above">Findings'),
        text.index("<h3>If it is missed"),
        text.index("<h3>What this does not show"),
        text.index("<h3>The limit and who set it"),
        text.index("What failed and what was done"),
        text.index("What this chapter does not show"),
        text.index("The rows</h2>"),
    ]
    assert order == sorted(order)
    for heading in HEADINGS:
        assert text.count(f"<h3>{heading}</h3>") == 2


def test_the_head_of_a_chapter_leads_from_each_matter_to_its_question(
    read: Mapping[str, Read], pages: Mapping[str, str], sample_book: Book
) -> None:
    head = pages["coating.html"].split("The questions of this chapter")[0]
    leads = re.findall(r'<a class="asked" href="#([A-Z0-9-]+)">([^<]+)</a> ([^<]+)', head)
    mine = [matter for matter in sample_book.matters if matter.checks & {"COA-04", "COA-08"}]
    assert [check for check, _, _ in leads] == [matter.findings[0].partition("/")[0] for matter in mine]
    assert leads[0][1] == sample_book.chapters[0].checks[0].question
    assert "dew-point margin, Topsides, starboard (Z2)" in leads[0][2]
    assert '<p class="state">' not in pages["register.html"]  # nothing of that chapter is an exception


def test_matters_of_a_chapter_come_in_the_order_of_the_first_page_and_near_misses_are_only_counted(
    sample_book: Book,
) -> None:
    from dataclasses import replace

    close, put_right = sample_book.matters[0], sample_book.matters[1]
    told = (
        replace(put_right, state=State.PUT_RIGHT, also=("another reading, measured again, pass",)),
        replace(close, state=State.CLOSE, what="Only just"),
    )
    files, *_ = contents(replace(sample_book, matters=told), received(), pdf=False)
    head = files["coating.html"].decode().split("The questions of this chapter")[0]
    assert "Also: another reading, measured again, pass." in head
    assert "Only just" not in head
    assert "Inside the limit without a clear margin: 1, in the list below" in head
    assert "Only just" in files["index.html"].decode()


def test_questions_stand_in_the_order_of_what_is_told(sample_book: Book) -> None:
    checks = sample_book.chapters[0].checks
    film = [matter for matter in sample_book.matters if "COA-08" in matter.checks]
    assert [check.id for check in told_first(checks, film)] == ["COA-08", "COA-04"]
    assert told_first(checks, ()) == checks


def test_every_limit_says_who_set_it(read: Mapping[str, Read]) -> None:
    text = squeezed(read["coating.html"].text)
    assert "set by builder: SPEC-07, revision C, 5.1 (the hull's specification, line 14)" in text
    assert "hull.toml:14" in [a.get("title") for a in read["coating.html"].all("span")]
    assert "Air temperature, humidity, dew point; read in the source" in text


def test_reports_tell_what_was_done(read: Mapping[str, Read]) -> None:
    for name in ("exceptions.html", "coating.html"):
        text = squeezed(read[name].text)
        assert "Report NCR-01: closed" in text
        assert "abraded P320, two further coats" in text


def test_pictures_have_words_and_signs_stand_beside_words(read: Mapping[str, Read], pages: Mapping[str, str]) -> None:
    for name, page in read.items():
        assert [a for a in page.all("img") if not a.get("alt")] == [], name
        for svg in page.all("svg"):
            assert svg.get("aria-hidden") == "true" or svg.get("role") in ("img", "group"), (name, svg)
    assert 'aria-hidden="true"' in pages["coating.html"]


def test_wide_things_scroll_in_a_region_of_their_own_that_the_keyboard_reaches(read: Mapping[str, Read]) -> None:
    for name, page in read.items():
        for _, attributes in page.tags:
            if "scroll" in attributes.get("class", "").split():
                assert attributes["tabindex"] == "0", name
                assert attributes["role"] == "region", name
                assert attributes["aria-label"], name


def test_colours_of_text_have_enough_contrast_on_every_ground() -> None:
    theme, verdicts = templates_dir() / "theme" / "theme.css", templates_dir() / "parts" / "verdict.css"
    names = re.findall(r"^  --([a-z-]+): #", verdicts.read_text(encoding="utf-8").split("@media")[0], re.MULTILINE)
    assert len(names) == 9
    for scheme in (0, 1):
        grounds = [theme_colours(theme, name)[scheme] for name in ("paper", "raised")]
        texts = {name: theme_colours(theme, name)[scheme] for name in ("ink", "soft", "accent")}
        texts |= {name: theme_colours(verdicts, name)[scheme] for name in names}
        poor = {(n, g): contrast(c, g) for n, c in texts.items() for g in grounds if contrast(c, g) < 7}
        assert poor == {}


def test_every_sign_of_the_templates_exists_in_a_shipped_font() -> None:
    faces = [TTFont(path).getBestCmap() for path in sorted(fonts_dir().glob("*.woff2"))]
    folder = templates_dir()
    files = [*folder.rglob("*.j2"), *(folder / "chapters").rglob("*.md"), *(folder / "words").rglob("*.md")]
    used = {sign for path in files for sign in path.read_text(encoding="utf-8")} - {"\n"}
    assert [sign for sign in sorted(used) if any(ord(sign) not in face for face in faces)] == []


def test_without_a_demonstration_there_is_no_label(sample_book: Book) -> None:
    from dataclasses import replace

    real = replace(sample_book, hull=replace(sample_book.hull, demonstration=""))
    files, *_ = contents(real, received(), pdf=False)
    assert b'class="demonstration"' not in files["index.html"]


def test_a_book_that_knows_nothing_still_has_every_page(sample_book: Book) -> None:
    from dataclasses import replace

    from buildbook.core.hull import Hull

    checks = tuple(
        replace(check, governing=(), references=(), counts=(), nearest=None, charts=(), answer="No findings.")
        for check in sample_book.chapters[0].checks
    )
    chapter = replace(sample_book.chapters[0], checks=checks, counts=(), nearest=None, tables=())
    bare = replace(
        sample_book,
        hull=Hull(),
        identity=(),
        chapters=(chapter,),
        exceptions=(),
        counts=(),
        summary="No findings.",
        faults=(),
        reports=(),
        plan=(),
        instruments=(),
        tables=(),
        unused_files=(),
        photographs=(),
        drawings=(),
        sources=(),
    )
    files, *_ = contents(bare, {}, pdf=True)
    pages = {name: read_page(data.decode("utf-8")) for name, data in files.items() if name.endswith(".html")}
    assert {name: page.faults for name, page in pages.items() if page.faults} == {}
    assert "hull-book.pdf" in files
    assert "so nobody can say what was left out" in squeezed(pages["coverage.html"].text)
    assert "That says only that none was supplied" in squeezed(pages["exceptions.html"].text)


def test_neighbouring_rows_are_joined_and_doubles_told_once(sample_book: Book) -> None:
    from buildbook.core.where import Where

    at = [Where(CLIMATE, n) for n in (4, 5, 6, 6, 9)] + [Where("hull.toml", None, part="limits[0]"), Where("b.csv", 2)]
    got = [(group.file, [run.text for run in group.runs]) for group in rows(at)]
    assert got == [(CLIMATE, ["4–6", "9"]), ("hull.toml", ["limits[0]"]), ("b.csv", ["2"])]


def test_letters_go_on_after_z() -> None:
    assert [_letter(n) for n in (0, 25, 26, 27, 51, 52)] == ["a", "z", "aa", "ab", "az", "ba"]


def test_everything_in_this_module_looked_at_something(read: Mapping[str, Read], sample_book: Book) -> None:
    assert len(read) == 17
    assert len(everything(sample_book)) == 76


def test_the_first_screen_of_a_phone_tells_at_most_seven_matters_those_open_first(
    sample_book: Book, pages: Mapping[str, str]
) -> None:
    part = re.search(r'<ol class="first-lines">(.*?)</ol>', pages["index.html"], re.DOTALL)
    assert part is not None
    numbers = re.findall(r"<li>.*?>([A-Z]+-[0-9]+/[0-9]+)(?:</n-b>)?</a></li>", part.group(1))
    assert numbers == [matter.findings[0] for matter in sample_book.matters][:7]
    assert pages["index.html"].index('class="first-lines"') < pages["index.html"].index('class="profile"')


def test_the_first_screen_of_a_phone_names_the_place_and_what_only_a_report_tells(sample_book: Book) -> None:
    """The condition is left out, the place is not; a finding about a report is not what the matter is."""
    items = {item.number: item for item in sample_book.exceptions}
    placed = [item for item in items.values() if item.finding.key.place and item.finding.key.condition]
    assert placed
    of = [
        Matter(State.OPEN, f"{it.subject[:1].upper()}{it.subject[1:]}: bad", "", (), (it.number,), ()) for it in placed
    ]
    told = "Superstructure, port (Z5): no report written at the time (told by its report alone)"
    by_report = Matter(State.ACCEPTED, told, "", (), (placed[0].number,), ())
    lines = worst(replace(sample_book, matters=(*of[:3], by_report)))
    for line, item in zip(lines, placed[:3], strict=False):
        key = item.finding.key
        start, _, rest = line.words.partition(", ")
        assert start.lower() == key.quantity.lower()
        assert rest.partition(":")[0].endswith((key.place, f"({key.place})"))
    assert lines[-1].words == told


def test_a_chart_that_is_moved_sideways_says_so_in_words(pages: Mapping[str, str]) -> None:
    page = pages["coating.html"]
    assert page.count("The chart goes on to the right.") == page.count('<figure class="chart') > 0
    sheet = pages_sheet()
    assert re.search(r"@media \(max-width: 34\.49rem\) {\s*\.goes-on { display: block;", sheet)
    assert "  .chart svg { min-width: 32rem; }" in sheet, "32 rem of chart and 2.5 of the leaf's edges"


def pages_sheet() -> str:
    return (templates_dir() / "site" / "site.css").read_text(encoding="utf-8")


def test_counts_are_told_worst_first(pages: Mapping[str, str]) -> None:
    """In the list of counts of every page; the order of the verdicts is that of the script's filter."""
    order = ["fail", "conditional fail", "inconclusive", "not measured", "no record"]
    order += ["conditional pass", "pass", "not applicable", "information"]
    seen = 0
    for text in pages.values():
        for part in re.findall(r'<ul class="tally">(.*?)</ul>', text, re.DOTALL):
            words = re.findall(r'<span class="word">(.*?)</span>', part)
            assert words == sorted(words, key=order.index)
            seen += len(words) > 1
    assert seen > 3
