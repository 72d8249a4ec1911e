"""Pictures that are shown twice: the same bytes, or the same picture at another size."""

from __future__ import annotations

from itertools import combinations

from buildbook.chapters.register.chances import likeness
from buildbook.chapters.register.look import Look, Notice, rule
from buildbook.chapters.shared_records import PhotographRecord
from buildbook.core.evidence import Evidence
from buildbook.core.grammar import counted
from buildbook.core.picture import PictureLook

PICTURES = "picture shown twice"


def pictures_twice(evidence: Evidence) -> Look:
    """Two rows of the table of photographs that show one picture."""
    rows = [(row, look) for row in evidence.of(PhotographRecord) if (look := evidence.looks.get(row.file)) is not None]
    notices = []
    for (one, its), (other, as_well) in combinations(rows, 2):
        said = _alike(its, as_well)
        if said:
            words = f"{other.file} and {one.file}: {said}"
            notices.append(Notice(PhotographRecord.table.file, words, (one.where, other.where), other.file))
    looked = f"{counted(len(rows), 'picture')}"
    return Look(PICTURES, "bytes compared, and grey tones of small copies", looked, tuple(notices))


def _alike(one: PictureLook, other: PictureLook) -> str:
    if one.sha256 == other.sha256:
        return "the same picture, byte for byte"
    if len(one.tones) < 2 or len(one.tones) != len(other.tones):
        return ""
    found = likeness(one.tones, other.tones)
    if found is None or found < rule("pictures alike"):
        return ""
    return f"alike when both are made small, correlation {found:.3f}"
