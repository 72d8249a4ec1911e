"""Nothing outside the book gets into it: not by markup in notes, not by addresses in pages, styles or prose."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

import pikepdf
import pytest

from buildbook.core.book import Book
from buildbook.render.package import contents, write
from buildbook.render.pdf import NotClean, book_pdf
from buildbook.render.place import Refused
from buildbook.render.prose import parsed
from buildbook.render.templates import environment, fonts_dir, templates_dir
from buildbook.sheet import listing
from buildbook.sheet.words import words
from tests.render.site_reader import own_script, read_page
from tests.sample_book import picture, received

SECRET = b"root:x:0:0: this line must never be in a book"
FONT = '<style>@font-face{font-family:F;src:url("F.woff2")} body{font-family:F}</style>'

# Ways to ask for a file: each is given an address.
WAYS: Mapping[str, Callable[[str], str]] = {
    "picture": lambda a: f'<p><img alt="x" src="{a}">',
    "object": lambda a: f'<p><object data="{a}">x</object>',
    "embed": lambda a: f'<p><embed src="{a}" alt="x">',
    "style sheet": lambda a: f'<link rel="stylesheet" href="{a}"><p>x',
    "import": lambda a: f'<style>@import url("{a}");</style><p>x',
    "background": lambda a: f"<p style=\"background: url('{a}')\">x",
    "list mark": lambda a: f"<ul style=\"list-style-image: url('{a}')\"><li>x</ul>",
    "content": lambda a: f"<style>p::before {{ content: url('{a}') }}</style><p>x",
    "font": lambda a: f"<style>@font-face {{ font-family: G; src: url('{a}') }}</style><p style=\"font-family: G\">x",
    "picture in a drawing": lambda a: (
        '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><title>x</title>'
        f'<image href="{a}" width="9" height="9"/></svg>'
    ),
    "attachment": lambda a: f'<link rel="attachment" href="{a}"><p>x',
    "linked attachment": lambda a: f'<p><a rel="attachment" href="{a}">x</a>',
}


@pytest.fixture
def outside(tmp_path: Path) -> Path:
    (tmp_path / "secret.svg").write_bytes(
        b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><!-- ' + SECRET + b" --></svg>"
    )
    (tmp_path / "link.svg").symlink_to(tmp_path / "secret.svg")
    return tmp_path


def addresses(outside: Path) -> dict[str, str]:
    secret = outside / "secret.svg"
    return {
        "absolute": str(secret),
        "file": secret.as_uri(),
        "file with a host": f"file://localhost{secret}",
        "climbing": "../" * 12 + str(secret).lstrip("/"),
        "climbing, encoded": "%2e%2e/" * 12 + str(secret).lstrip("/"),
        "link": (outside / "link.svg").as_uri(),
        "http": "http://127.0.0.1:9/x.svg",
        "https": "https://127.0.0.1:9/x.svg",
        "same host, not in the book": "https://book.invalid/etc/passwd",
        "known name with a query": "F.woff2?x",
        "ftp": "ftp://127.0.0.1/x.svg",
        "data": "data:image/svg+xml,%3Csvg%20xmlns=%22http://www.w3.org/2000/svg%22/%3E",
    }


KINDS = tuple(addresses(Path("/tmp")))


def set_pages(body: str) -> bytes:
    font = (fonts_dir() / "IBMPlexSans-Regular.woff2").read_bytes()
    html = f'<html lang="en"><head><title>t</title>{FONT}</head><body>{body}'
    return book_pdf(html, {"F.woff2": font, "own.svg": b'<svg xmlns="http://www.w3.org/2000/svg"/>'}, (), None)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("way", WAYS)
def test_pdf_loads_nothing_but_its_own_files(way: str, kind: str, outside: Path) -> None:
    body = WAYS[way](addresses(outside)[kind])
    try:
        made = set_pages(body)
    except NotClean:
        return
    # Not asked for at all is as good as refused, as long as nothing came in.
    with pikepdf.open(io.BytesIO(made)) as opened:
        assert len(opened.attachments) == 0
        streams = [bytes(obj.read_bytes()) for obj in opened.objects if isinstance(obj, pikepdf.Stream)]
    assert not any(SECRET in stream for stream in streams)
    assert way == "embed" or "attachment" in way, "a way that used to be refused is not any more"


def test_pdf_does_load_its_own_files() -> None:
    assert set_pages('<p><img alt="x" src="own.svg">').startswith(b"%PDF")


def test_pdf_refuses_a_kind_of_file_it_does_not_show() -> None:
    font = (fonts_dir() / "IBMPlexSans-Regular.woff2").read_bytes()
    html = f'<html lang="en"><head><title>t</title>{FONT}</head><p><img alt="x" src="a.eps">'
    with pytest.raises(NotClean, match="such files are not shown"):
        book_pdf(html, {"F.woff2": font, "a.eps": b"%!PS"}, (), None)


@pytest.mark.parametrize(
    "name", ["../x.png", "/etc/x.png", "photographs/../../x.png", "file:///etc/x.png", "http://x/y.png"]
)
def test_a_picture_is_never_written_or_shown_outside_the_book(sample_book: Book, tmp_path: Path, name: str) -> None:
    spoiled = replace(sample_book, photographs=(replace(sample_book.photographs[0], out=name),))
    files = {n: data for n, data in received().items() if not n.startswith("photographs/")} | {name: picture()}
    with pytest.raises(Refused, match="could lead out of the folder"):
        write(spoiled, files, tmp_path / "out", pdf=False)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "name", ["../x.csv", "/etc/x.csv", "a/../../x.csv", "a\\..\\x.csv", "C:x.csv", "a\nb.csv", "", "a//b.csv"]
)
def test_a_table_whose_name_could_lead_out_is_refused(sample_book: Book, name: str) -> None:
    with pytest.raises(Refused, match="could lead out of the folder"):
        contents(sample_book, {**received(), name: b"x"}, pdf=False)


def test_a_table_name_with_signs_that_addresses_use_is_linked_rightly(sample_book: Book) -> None:
    name = "coating/50 % #1?.csv"
    table = replace(sample_book.tables[0], file=name)
    made, *_ = contents(replace(sample_book, tables=(table,)), {**received(), name: b"x"}, pdf=False)
    addresses = [address for _, address in read_page(made["evidence/index.html"].decode()).addresses]
    assert "../evidence/received/coating/50%20%25%20%231%3F.csv" in addresses
    assert made[f"evidence/received/{name}"] == b"x"


def test_markup_in_every_text_of_the_book_is_shown_as_text(sample_book: Book) -> None:
    evil = "<script>x</script><img src=x onerror=y>\"'&"
    report = replace(sample_book.reports[0], work=evil, as_found=evil, requirement=evil, id=evil)
    spoiled = replace(
        sample_book,
        title=evil,
        summary=evil,
        hull=replace(sample_book.hull, name=evil, demonstration=evil),
        identity=((evil, evil),),
        reports=(report,),
        plan=(replace(sample_book.plan[0], characteristic=evil, line=evil),),
        instruments=(replace(sample_book.instruments[0], type=evil, id=evil),),
        unused_files=(evil,),
        photographs=(replace(sample_book.photographs[0], alternative=evil, place=evil),),
        sources=(replace(sample_book.sources[0], title=evil, note=evil),),
        limitations=(evil,),
    )
    spoiled = replace(spoiled, listing=listing(spoiled, words(templates_dir())))
    made, *_ = contents(spoiled, received(), pdf=True)
    pages = {name: data.decode("utf-8") for name, data in made.items() if name.endswith(".html")}
    for name, text in pages.items():
        page = read_page(text)
        assert page.faults == [], name
        data = [{"type": "application/ld+json"}] if name.endswith("-listing.html") else []
        assert page.all("script") == (data or own_script(name)), name
        assert [attributes for _, attributes in page.tags if "onerror" in attributes] == [], name
        assert evil in page.text, name


def test_undefined_name_in_a_template_is_an_error() -> None:
    from jinja2 import UndefinedError

    with pytest.raises(UndefinedError):
        environment().from_string("{{ nobody }}").render()
    with pytest.raises(UndefinedError):
        environment().from_string("{{ hull.nothing }}").render(hull=object())


def test_templates_escape_whatever_their_file_is_called() -> None:
    for name in ("x.html.j2", "x.j2", "x.txt"):
        template = environment().from_string("{{ a }}")
        template.name = name
        assert template.render(a="<b>") == "&lt;b&gt;"


def test_prose_shows_markup_as_text_and_leads_only_to_own_pages_or_https() -> None:
    text = """# T

## H

<script>x</script> <b>bold</b> ![p](https://e.example/p.png) ![q](/etc/passwd) ![r](../../x.png)
[own](how-judged.html#reading) [web](https://e.example/) [a](javascript:x) [b](file:///etc/passwd) [c](http://e.example)
[d](../../etc/passwd) [e](/etc/passwd) [f](data:text/html,x) [g](//e.example/x) [h](JAVASCRIPT:x) <https://ok.example/>
"""
    made = read_page(str(parsed(text, lambda name: f"up/{name}").under("H")))
    assert made.all("script") == []
    assert made.all("img") == []
    assert made.all("b") == []
    assert [a["href"] for a in made.all("a")] == [
        "up/how-judged.html#reading",
        "https://e.example/",
        "https://ok.example/",
    ]
    assert "<script>x</script>" in made.text
