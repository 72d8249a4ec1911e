"""Reads the pages of a site for the tests, with the parser of the standard library: tags, addresses, ids, findings."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

# Elements without an end tag: HTML Living Standard, section 13.1.2 (from memory).
VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}


@dataclass(slots=True)
class Shown:
    """One finding as a page shows it."""

    number: str
    value: str = ""
    limit: str = ""
    verdict: str = ""


@dataclass(slots=True)
class Read:
    """One page, read."""

    tags: list[tuple[str, dict[str, str]]] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)
    addresses: list[tuple[str, str]] = field(default_factory=list)
    findings: list[Shown] = field(default_factory=list)
    text: str = ""
    faults: list[str] = field(default_factory=list)

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.tags if name == tag]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = Read()
        self.open: list[tuple[str, dict[str, str]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        attributes = {name: value or "" for name, value in attrs}
        self._note(tag, attributes)
        if tag not in VOID:
            self.open.append((tag, attributes))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._note(tag, {name: value or "" for name, value in attrs})

    def _note(self, tag: str, attributes: dict[str, str]) -> None:
        page = self.page
        if len(attributes) != len(set(attributes)):
            page.faults.append(f"an attribute twice on {tag}")
        page.tags.append((tag, attributes))
        if "id" in attributes:
            page.ids.append(attributes["id"])
        for name in ("href", "src"):
            if name in attributes:
                page.addresses.append((tag, attributes[name]))
        if "data-finding" in attributes:
            page.findings.append(Shown(attributes["data-finding"]))

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1][0] != tag:
            self.page.faults.append(f"</{tag}> at {self.getpos()} does not close {self.open[-1:] or 'anything'}")
            return
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.page.text += data
        tags = [tag for tag, _ in self.open]
        classes = [attributes.get("class", "") for _, attributes in self.open]
        if not any("finding" in given.split() for given in classes):
            return
        finding = self.page.findings[-1]
        if "v-t" in tags:
            finding.value += data
        elif "l-t" in tags:
            finding.limit += data
        elif "word" in classes:
            finding.verdict += data


def read_page(text: str) -> Read:
    """One page: its tags in order, ids, addresses, findings, text, and what is not well formed about it."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    reader.page.faults += [f"<{tag}> is never closed" for tag, _ in reader.open]
    return reader.page


def own_script(name: str) -> list[dict[str, str]]:
    """The one script of a page of this name, as `Read.all("script")` has it: the book's own file, nothing else."""
    return [{"src": f"{'../' * name.count('/')}style/book.js", "defer": ""}]


def squeezed(text: str) -> str:
    """Text with every run of spaces, no-break spaces and line ends made one space."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip()
