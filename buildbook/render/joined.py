"""The limits of a check as the printed book lists them: those that differ only in the clause that sets them as one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from buildbook.core.source import Standing
from buildbook.core.wording import term_text
from buildbook.render.content import Requirement

MANY = 2


@dataclass(frozen=True, slots=True)
class Joined:
    """Requirements of the builder that differ only in the clause that sets each; a single one is not joined.

    `setter` names who set them and in which document, without the clause.
    """

    members: tuple[Requirement, ...]
    setter: str

    @property
    def many(self) -> bool:
        """True where the signs of all would fill a column of their own; then each stands before its clause only."""
        return len(self.members) > MANY

    @property
    def signs(self) -> str:
        """The signs of all members in the order of the check, neighbours as a stretch: `b–e, g`."""
        runs: list[list[str]] = []
        for sign in (it.mark.sign for it in self.members):
            if runs and _following(runs[-1][-1]) == sign:
                runs[-1].append(sign)
            else:
                runs.append([sign])
        return ", ".join(run[0] if len(run) == 1 else f"{run[0]}–{run[-1]}" for run in runs)


def _following(sign: str) -> str:
    """The sign after one: b after a, aa after z, ba after az."""
    head = sign.rstrip("z")
    rest = "a" * (len(sign) - len(head))
    return head[:-1] + chr(ord(head[-1]) + 1) + rest if head else "a" + rest


def joined(requirements: Iterable[Requirement]) -> tuple[Joined, ...]:
    """The limits of a check as the printed book lists them.

    Args:
        requirements: each term of a limit once.

    Returns:
        All of them, each in one group: those of the builder with the same limit, words, setter and document together,
        where the first of them stood; every other one by itself.
    """
    groups: dict[tuple[str, ...], list[Requirement]] = {}
    for it in requirements:
        alone = it.term.standing is not Standing.BUILDER or not it.term.clause
        setter = it.setter if alone else term_text(replace(it.term, clause=""), {})
        groups.setdefault((it.limit, it.term.words, setter, it.mark.sign if alone else ""), []).append(it)
    return tuple(Joined(tuple(members), key[2]) for key, members in groups.items())
