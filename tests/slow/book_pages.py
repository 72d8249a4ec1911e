"""The printed demonstration book as pictures and words, page by page; not drawn by the program that set it."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
import pypdfium2

DOTS = 4.0  # per millimetre of the pictures
POINT = 25.4 / 72.0  # mm
EDGE = 7.0  # mm that nothing is printed in: a home printer reaches no further
SIDE = {"portrait": 19.0, "landscape": 17.0}  # mm of empty paper left and right, one less than the style sheet asks for
BODY = {"portrait": (22.0, 22.0), "landscape": (20.0, 18.0)}  # mm above and below, where heads and feet stand
DARK = 200  # of 255: anything darker is ink
BAND = 5.0  # mm, somewhat more than a line of text with its lead
PAPER = 250  # of 255: anything darker is no bare paper, the pale ground of a drawing neither
LEAST = 0.20  # of the squares of 5 mm: a page of drawings or of small type has 0.25 and more, rules alone have less

Box = tuple[float, float, float, float]  # left, bottom, right, top [pt]


@dataclass(frozen=True, slots=True)
class Page:
    """One page: its number from 1, where it is inked, its lines of text, whether it starts with the title of a part.

    `covered` is the share of squares of 5 mm between the margins that are no bare paper: a long rule fills one row of
    them, not a page. `head` and `foot` are the words above and below the text block.
    """

    number: int
    ink: np.ndarray
    lines: tuple[str, ...]
    begins: bool
    covered: float
    head: str
    foot: str

    @property
    def shape(self) -> str:
        height, width = self.ink.shape
        return "landscape" if width > height else "portrait"

    @property
    def body(self) -> np.ndarray:
        """The ink of the text block: between head and foot."""
        above, below = (round(side * DOTS) for side in BODY[self.shape])
        return self.ink[above : self.ink.shape[0] - below]

    @property
    def reach(self) -> float:
        """How far down the text block anything is printed, as a share of its height."""
        rows = np.flatnonzero(self.body.any(axis=1))
        return float(rows[-1] + 1) / self.body.shape[0] if rows.size else 0.0

    @property
    def filled(self) -> float:
        """The share of bands of 5 mm across the text block with anything printed in them: a gap counts as empty."""
        height = round(BAND * DOTS)
        rows = np.asarray(self.body.any(axis=1))
        bands = [rows[start : start + height].any() for start in range(0, len(rows) - height + 1, height)]
        return float(np.mean(bands))

    def row(self, points: float) -> int:
        """The row of the picture at a height above the lower edge of the page [pt]."""
        return round(self.ink.shape[0] - points * POINT * DOTS)


def read_pages(document: pypdfium2.PdfDocument, parts: set[tuple[int, str]]) -> list[Page]:
    """Every page of a document; `parts` are page and title of each part, which may begin in the middle of its page."""
    made = []
    for number in range(1, len(document) + 1):
        page = document[number - 1]
        picture = page.render(scale=DOTS * POINT, grayscale=True).to_numpy().squeeze()
        text = page.get_textpage()
        lines = tuple(line.strip() for line in text.get_text_range().splitlines() if line.strip())
        width, height = page.get_size()
        above, below = (side / POINT for side in BODY["landscape" if width > height else "portrait"])
        head = text.get_text_bounded(0, height - above, width, height)
        foot = text.get_text_bounded(0, 0, width, below)
        first = plain("".join(lines))
        begins = any(at == number and first.startswith(plain(title)) for at, title in parts)
        made.append(
            Page(
                number,
                picture < DARK,
                lines,
                begins,
                _covered(picture < PAPER),
                " ".join(head.split()),
                " ".join(foot.split()),
            )
        )
        text.close()
        page.close()
    return made


def _covered(marked: np.ndarray) -> float:
    height, width = marked.shape
    shape = "landscape" if width > height else "portrait"
    size, side = round(BAND * DOTS), round(SIDE[shape] * DOTS)
    above, below = (round(edge * DOTS) for edge in BODY[shape])
    inside = marked[above : height - below, side : width - side]
    high, wide = (count // size for count in inside.shape)
    squares = inside[: high * size, : wide * size].reshape(high, size, wide, size)
    return float(np.mean(squares.any(axis=(1, 3))))


FOOT = re.compile(r"^(Hull XX-|Digest [0-9a-f]{12}|Demonstration: |page \d+ of )")


def body_lines(page: Page) -> list[str]:
    """The lines between the running head and the foot."""
    lines = list(page.lines)
    while lines and FOOT.match(lines[-1]):
        lines.pop()
    return lines


def plain(text: str) -> str:
    """Text without spaces, line ends and hyphens."""
    return re.sub(r"[\s\u00a0\u00ad\ufffe-]+", "", text)


def places(page: pypdfium2.PdfPage, words: str) -> list[Box]:
    """Where words stand on a page: the box around each place."""
    text = page.get_textpage()
    found = text.search(words, match_case=True)
    boxes = []
    while place := found.get_next():
        start, count = place
        letters = [text.get_charbox(index) for index in range(start, start + count)]
        left, bottom, right, top = zip(*letters, strict=True)
        boxes.append((min(left), min(bottom), max(right), max(top)))
    text.close()
    return boxes
