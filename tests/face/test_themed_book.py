"""The synthetic book in an invented yard's face and words: what changes, and above all what does not."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, replace
from pathlib import Path

import pikepdf
import pytest

from buildbook.chapters import CHAPTERS
from buildbook.core.book import OwnText
from buildbook.core.face import Face, Paper
from buildbook.face.texts import read_texts
from buildbook.face.theme import read_theme
from buildbook.render.own_words import STANDING, prose_of
from buildbook.render.package import contents
from buildbook.render.prose import prose
from buildbook.render.templates import templates_dir
from buildbook.render.theme_sheet import built_in, theme_css, theme_files
from buildbook.sources import all_sources
from tests.face.conftest import EXAMPLE, TYPE
from tests.face.typefaces import typeface
from tests.page_texts import without_print
from tests.render.site_reader import own_script, read_page
from tests.sample_book import book as sample
from tests.sample_book import received

Files = Mapping[str, bytes]
CHECK = "coating/COA-04"


@pytest.fixture(scope="module")
def face(tmp_path_factory: pytest.TempPathFactory) -> Face:
    folder = tmp_path_factory.mktemp("theme")
    toml = (EXAMPLE / "theme/theme.toml").read_text(encoding="utf-8") + TYPE
    (folder / "theme.toml").write_text(toml, encoding="utf-8")
    (folder / "logo.svg").write_bytes((EXAMPLE / "theme/logo.svg").read_bytes())
    (folder / "type").mkdir()
    for name, family, weight, italic in (
        ("regular", "Example Box", 400, False),
        ("italic", "Example Box", 400, True),
        ("semibold", "Example Box", 600, False),
        ("board", "Example Board", 600, False),
    ):
        (folder / f"type/{name}.woff2").write_bytes(typeface(family, weight, italic))
    return read_theme(folder, Paper.LETTER)[0]


@pytest.fixture(scope="module")
def texts() -> tuple[OwnText, ...]:
    checks = {chapter.key: [check.id for check in chapter.checks] for chapter in CHAPTERS}
    return read_texts(EXAMPLE / "texts", checks, all_sources())[0]


@pytest.fixture(scope="module")
def plain() -> Files:
    return contents(sample(), received(), pdf=False)[0]


@pytest.fixture(scope="module")
def themed(face: Face) -> Files:
    files, _, _, notices = contents(sample(), received(), face=face)
    assert notices == ()
    return files


@pytest.fixture(scope="module")
def worded(texts: tuple[OwnText, ...]) -> Files:
    return contents(replace(sample(), own_texts=texts), received(), pdf=False)[0]


def page(files: Files, name: str) -> str:
    return files[name].decode("utf-8")


# A theme


def test_a_theme_changes_neither_data_nor_digest(plain: Files, themed: Files) -> None:
    assert themed["book.json"] == plain["book.json"]
    assert themed["SHA256SUMS"] == plain["SHA256SUMS"]


def test_what_every_book_has_alike_is_alike_to_the_byte(plain: Files, themed: Files) -> None:
    for name in ("shared", "verdict", "site", "kept"):
        assert themed[f"style/{name}.css"] == plain[f"style/{name}.css"]
    fonts = [name for name in plain if name.startswith("style/fonts/")]
    assert len(fonts) > 5
    assert [name for name in fonts if themed[name] != plain[name]] == []


def test_a_page_differs_by_the_logo_alone(plain: Files, themed: Files) -> None:
    """Words, signs, verdicts, order: all of it the same. The listing sheet has its styles in it and no logo."""

    def lines(text: str) -> list[str]:
        text = re.sub(r'<img class="logo" [^>]*>', "", without_print(text))
        text = text.replace("The same folder with the same theme gives", "The same folder gives")
        text = re.sub(r"<li[^>]*><a[^>]*>The (printed book|listing sheet) .*</li>\n", "", text)
        text = re.sub(r"<style>.*?</style>", "", text, flags=re.DOTALL)
        text = re.sub(r", page [0-9]+</", "</", text)  # one of the two was made without a printed book
        text = re.sub(r', <a href="[^"]*-listing\.pdf">[^<]*</a>', "", text)
        return [line.replace(' class="group"', "") for line in text.split("\n") if line]

    for name in (name for name in plain if name.endswith(".html")):
        assert lines(page(themed, name)) == lines(page(plain, name)), name


def test_exceptions_stand_first_in_a_themed_book(themed: Files) -> None:
    text = page(themed, "index.html")
    assert text.index("What went wrong, and what is missing") < text.index("Chapter by chapter")
    assert 'class="demonstration"' in text


def test_the_label_of_invented_data_keeps_its_colours(themed: Files) -> None:
    """The sheet that is loaded last names the label as the pages write it."""
    kept = themed["style/kept.css"].decode("utf-8")
    rule = re.search(
        r"^(.*\.demonstration) \{ background: var\(--label-ground\); color: var\(--label\); \}", kept, re.M
    )
    assert rule is not None
    for name in ("index.html", next(name for name in themed if name.endswith("-listing.html"))):
        tags = set(re.findall(r'<(\w+) class="demonstration"', page(themed, name)))
        assert len(tags) == 1, name
        assert f"{tags.pop()}.demonstration" in rule[1].split(", "), name


def test_the_logo_stands_on_every_page_once_with_its_words(themed: Files) -> None:
    names = [name for name in themed if name.endswith(".html") and not name.endswith("-listing.html")]
    assert len(names) > 10
    for name in names:
        logos = [tags for tag, tags in read_page(page(themed, name)).tags if tags.get("class") == "logo"]
        assert [logo["alt"] for logo in logos] == ["Example Yard: a hull above two waves"], name
        assert [logo["src"] for logo in logos] == ["../" * name.count("/") + "style/own/logo.svg"], name


def test_a_style_sheet_of_a_theme_is_values_and_nothing_else(face: Face) -> None:
    built_in = (templates_dir() / "theme" / "theme.css").read_text(encoding="utf-8")
    sheet = theme_css(face)
    assert sheet.startswith(built_in)
    own = sheet.removeprefix(built_in).strip().split("\n")
    line = (
        r"/\* The builder's own\. \*/|:root \{|\}|@media screen and \(prefers-color-scheme: dark\) \{"
        r"|  --(paper|raised|ink|soft|line|accent|plate): #[0-9a-f]{6};"
        r'|  --(text|headings): "[\w -]+", "IBM Plex Serif";'
        r'|@font-face \{ font-family: "[\w -]+"; font-weight: [46]00; font-style: (normal|italic); '
        r'src: url\("own/[a-z-]+\.woff2"\) format\("woff2"\); \}'
    )
    assert len(own) > 20
    assert [words for words in own if not re.fullmatch(line, words)] == []


def test_light_values_alone_leave_the_dark_pages_as_they_come(face: Face) -> None:
    """Of two rules of one weight the later counts (CSS Cascading 4, 6.4), so the dark values stand last."""
    light, dark = theme_css(replace(face, dark=None)).rsplit("@media screen and (prefers-color-scheme: dark) {", 1)
    assert face.light is not None
    assert f"--paper: {face.light.paper};" in light.rsplit(":root {", 1)[1]
    for name, value in asdict(built_in()[1]).items():
        assert f"--{name}: {value};" in dark


def test_no_sheet_sets_a_kept_value_after_the_kept_sheet(themed: Files) -> None:
    """The sheet that no theme changes is the last one that a page names."""
    sheets = re.findall(r'<link rel="stylesheet" href="([^"]+)">', page(themed, "index.html"))
    assert sheets[0] == "style/theme.css"
    assert sheets[-1] == "style/kept.css"
    assert not re.search(
        r"--(kept|plain|label|fail|pass)\b", page(themed, "style/theme.css").partition("builder's own")[2]
    )


def test_every_file_of_a_theme_stands_in_the_list_of_the_release(face: Face, themed: Files) -> None:
    lines = [line.split("  ", 1) for line in page(themed, "SHA256SUMS.release").splitlines()]
    listed = {name: digest for digest, name in lines}
    for name, data in theme_files(face).items():
        assert listed[name] == hashlib.sha256(data).hexdigest()
        assert themed[name] == data
    assert "style/own/theme.toml" in listed


@pytest.mark.slow
def test_the_same_theme_gives_the_same_bytes(face: Face, themed: Files) -> None:
    again, _, _, _ = contents(sample(), received(), face=face)
    assert [name for name in themed if again[name] != themed[name]] == []


def test_the_printed_book_bears_the_logo_and_the_type(themed: Files) -> None:
    from io import BytesIO

    (name,) = [name for name in themed if name.endswith("-book.pdf")]
    with pikepdf.open(BytesIO(themed[name])) as pdf:
        fonts = {str(o["/BaseFont"]) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/BaseFont" in o}
        words = [str(o["/Alt"]) for o in pdf.objects if isinstance(o, pikepdf.Dictionary) and "/Alt" in o]
    families = {font.partition("+")[2] for font in fonts}
    assert any("Example-Box" in family for family in families), families
    assert any("Example-Board" in family for family in families), families
    assert any("IBM-Plex-Sans" in family for family in families)
    assert any("IBM-Plex-Serif" in family for family in families)  # of what no theme changes
    assert "Example Yard: a hull above two waves" in words


# Own words


def test_own_words_are_named_as_such(worded: Files, texts: tuple[OwnText, ...]) -> None:
    text = page(worded, "coating.html")
    own = re.findall(r'<div class="own"><p class="over">In the builder\'s words</p>\n(.*?)</div>', text, re.DOTALL)
    assert len(own) == 5
    assert "Our paint shed stands two hundred metres from the water." in own[0]
    assert page(worded, "index.html").count('class="own"') == 0  # the book tells its first page itself


def test_built_in_words_stand_where_they_always_do(texts: tuple[OwnText, ...]) -> None:
    built_in, own = prose(f"chapters/{CHECK}", str), prose_of(replace(sample(), own_texts=texts), CHECK, str)
    assert [piece.heading for piece in own.pieces] == [piece.heading for piece in built_in.pieces]
    for heading in ("The limit and who set it", "What this does not show"):
        assert own.under(heading).startswith(built_in.under(heading))
        assert 'class="own"' in own.under(heading).removeprefix(built_in.under(heading))
    for heading in ("Why it matters", "How it was measured", "If it is missed"):
        assert own.under(heading).startswith('<div class="own"><p class="over">In the builder\'s words</p>')
        assert built_in.under(heading) not in own.under(heading)
    assert own.sources == built_in.sources


def test_sources_and_cautions_of_the_built_in_text_stay(worded: Files, plain: Files) -> None:
    for name in ("coating.html", "sources.html"):
        for words in re.findall(r'href="sources\.html#source-[\w-]+"', page(plain, name)):
            assert words in page(worded, name)


def test_a_caution_stays_above_what_a_builder_adds() -> None:
    built_in = (templates_dir() / "chapters/coating/COA-01.md").read_text(encoding="utf-8")
    own = built_in.replace("Solvents burn", "In our shed solvents burn")
    assert own != built_in
    made = replace(sample(), own_texts=(OwnText("coating/COA-01", "coating/COA-01.md", own, "0" * 64),))
    caution = str(prose_of(made, "coating/COA-01", str).under("Caution"))
    places = [caution.index(words) for words in ("Solvents burn", "In the builder's words", "In our shed solvents")]
    assert places == sorted(places)


def test_the_headings_that_stand_are_those_of_limits_doubts_and_cautions() -> None:
    assert {
        "The limit and who set it",
        "What this does not show",
        "Caution",
        "What this chapter does not show",
    } == STANDING
    built_in = [path.read_text(encoding="utf-8") for path in templates_dir().glob("chapters/*/*.md")]
    written = {heading for text in built_in for heading in re.findall(r"^## (.+)$", text, re.MULTILINE)}
    assert written > STANDING


def test_own_words_are_part_of_the_data(plain: Files, worded: Files, texts: tuple[OwnText, ...]) -> None:
    (own,) = json.loads(worded["book.json"])["own_texts"]
    assert own["page"] == CHECK
    assert own["text"] == (EXAMPLE / "texts" / f"{CHECK}.md").read_text(encoding="utf-8")
    assert own["sha256"] == hashlib.sha256((EXAMPLE / "texts" / f"{CHECK}.md").read_bytes()).hexdigest()
    assert json.loads(plain["book.json"])["own_texts"] == []
    assert hashlib.sha256(worded["SHA256SUMS"]).digest() != hashlib.sha256(plain["SHA256SUMS"]).digest()
    assert texts[0].sha256 in page(worded, "verify.html")


def test_pages_with_own_words_are_well_formed(worded: Files) -> None:
    faults = {name: read_page(page(worded, name)).faults for name in worded if name.endswith(".html")}
    assert {name: its for name, its in faults.items() if its} == {}


def test_hostile_words_run_nothing() -> None:
    """Even if a text got past its reader."""
    text = "# Q?\n\n## Why it matters\n\n<script>alert(1)</script> [x](javascript:alert(1)) ![y](https://x.invalid/y.png)\n"
    made = replace(sample(), own_texts=(OwnText(CHECK, f"{CHECK}.md", text, "0" * 64),))
    pages = contents(made, received(), pdf=False)[0]
    read = read_page(page(pages, "coating.html"))
    assert read.all("script") == own_script("coating.html")
    assert [a for _, a in read.addresses if a.startswith("javascript") or "x.invalid" in a] == []


def test_example_folders_lie_where_the_guide_says() -> None:
    guide = (Path(__file__).parents[2] / "docs/guide/own-face.md").read_text(encoding="utf-8")
    for name in ("example-face/theme", "example-face/texts"):
        assert name in guide
        assert (EXAMPLE.parent / name).is_dir()
