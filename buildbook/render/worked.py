"""The working of the findings as the printed book lists it: what several findings have in common is said once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buildbook.core.finding_words import shares_of
from buildbook.core.wording import Shares
from buildbook.render.content import Line


@dataclass(frozen=True, slots=True)
class Step:
    """The working of one finding. `total` is U with its coverage, `parts` the standard uncertainties it was made of.

    Where the head of the group names the parts, `parts` are their sizes alone, in the order of the head; where it
    names the file of the rows, `where` are their lines, else it is empty.
    """

    line: Line
    total: str
    parts: str
    where: str


@dataclass(frozen=True, slots=True)
class Worked:
    """Findings of one check that were found in the same way; what is common to them is empty for a single one.

    `parts` names what U is made of; `file` is the one file that all of them rest on. `steps` are told with their
    arithmetic, `others` by their time and rows.
    """

    method: str
    instruments: tuple[str, ...]
    parts: tuple[str, ...]
    file: str
    steps: tuple[Step, ...]
    others: tuple[Step, ...]

    @property
    def single(self) -> bool:
        """True for one finding alone."""
        return len(self.steps) + len(self.others) == 1


def worked(lines: Iterable[Line], passes: Iterable[Line]) -> tuple[Worked, ...]:
    """The working of the findings of one check.

    Args:
        lines: governing findings whose arithmetic is printed; a reference rests on the same rows as the finding it
            stands beside.
        passes: plain passes; the arithmetic of one is printed where no other finding was found in the same way.

    Returns:
        Every finding in exactly one group, in the order in which each group comes first.
    """
    lines = tuple(lines)
    groups: dict[tuple[str, tuple[str, ...], frozenset[str], tuple[str, ...]], list[tuple[Line, Shares]]] = {}
    for line in (*lines, *passes):
        made = shares_of(line.item.finding)
        names = frozenset(name for name, _ in made.parts)
        files = tuple(rows.file for rows in line.rows)
        key = (line.item.finding.method, line.item.finding.instruments, names, files)
        groups.setdefault(key, []).append((line, made))
    return tuple(_worked(members, lines) for members in groups.values())


def _worked(members: list[tuple[Line, Shares]], whole: tuple[Line, ...]) -> Worked:
    line, made = members[0]
    finding = line.item.finding
    if len(members) == 1:
        parts = ", ".join(f"{name} {size}" for name, size in made.parts)
        step = Step(line, made.total, f" from standard uncertainties: {parts}" if parts else "", "")
        return Worked(finding.method, finding.instruments, (), "", (step,), ())
    names = tuple(name for name, _ in made.parts)
    file = line.rows[0].file if len(line.rows) == 1 else ""
    steps = [_step(other, its, names, file) for other, its in members]
    told = tuple(step for step in steps if _has_arithmetic(step) and (step.line in whole or step is steps[0]))
    return Worked(
        finding.method, finding.instruments, names, file, told, tuple(step for step in steps if step not in told)
    )


def _has_arithmetic(step: Step) -> bool:
    return bool(step.line.item.finding.working or step.total)


def _step(line: Line, made: Shares, names: tuple[str, ...], file: str) -> Step:
    sizes = dict(made.parts)
    return Step(line, made.total, f" ({', '.join(sizes[name] for name in names)})" if names else "", _lines(line, file))


def _lines(line: Line, file: str) -> str:
    """The lines of the one file that the head of the group names: `lines 4–6, 9`."""
    if not file:
        return ""
    texts = [run.text for run in line.rows[0].runs]
    one = len(texts) == 1 and texts[0].isdigit()
    return f"line {texts[0]}" if one else f"lines {', '.join(texts)}"
