"""A folder looked at again whenever one of its files changes.

Files are polled by size and time of change, not waited for: shared drives of a yard send no notices of changes.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from buildbook.daily import Daily, Task

PAUSE = 1.0  # [s] between two scans of the folder
MOST_PAUSES = 10  # that a folder is given to come to rest, since a log may never do so

Seen = Mapping[str, tuple[int, int]]
Scan = Callable[[], Seen]
Wait = Callable[[float], object]


@dataclass(frozen=True, slots=True)
class Change:
    """What two looks have not in common: what is mended, and what is new."""

    mended: tuple[Task, ...] = ()
    new: tuple[Task, ...] = ()

    @property
    def files(self) -> frozenset[str]:
        """The files it is about."""
        return frozenset(task.at.stands_in for task in (*self.mended, *self.new))


@dataclass(frozen=True, slots=True)
class Look:
    """One look at a folder: what is to be done and what changed since the look before, or why it cannot be read."""

    today: Daily | None
    change: Change | None
    trouble: str = ""


def change(before: Daily, after: Daily) -> Change:
    """What is mended and what is new. A thing is the same as long as its id is, whatever line it stands on now."""
    old, new = ({task.id: task for task in one.tasks} for one in (before, after))
    return Change(
        tuple(task for name, task in old.items() if name not in new),
        tuple(task for name, task in new.items() if name not in old),
    )


def looks(judged: Callable[[], Daily | str], changes: Iterable[object]) -> Iterator[Look]:
    """The folder as it is, then again after each change.

    Args:
        judged: reads and judges the folder; says in words why it cannot.
        changes: gives something whenever a file has changed.
    """
    last = None
    for today in _judged(judged, changes):
        if isinstance(today, str):
            yield Look(None, None, today)
            continue
        yield Look(today, None if last is None else change(last, today))
        last = today


def _judged(judged: Callable[[], Daily | str], changes: Iterable[object]) -> Iterator[Daily | str]:
    waiting = iter(changes)  # looks at the folder before it is judged, so that no change in the meantime is missed
    yield judged()
    for _ in waiting:
        yield judged()


def changes(scan: Scan, wait: Wait) -> Iterator[None]:
    """Something each time the folder has changed and come to rest again; never ends by itself.

    Args:
        scan: what the folder holds now.
        wait: passes the time [s].
    """
    return _changes(scan(), scan, wait)


def _changes(before: Seen, scan: Scan, wait: Wait) -> Iterator[None]:
    while True:
        wait(PAUSE)
        now = scan()
        if now == before:
            continue
        for _ in range(MOST_PAUSES):
            wait(PAUSE)
            resting, now = now, scan()
            if now == resting:
                break
        before = now
        yield


def scanned(folder: Path) -> Seen:
    """Size and time of change of every file of a folder, by name; empty where it cannot be read."""
    seen = {}
    for place, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in names:
            path = os.path.join(place, name)
            try:
                held = os.stat(path, follow_symlinks=False)
            except OSError:
                continue  # gone since the folder was listed: that is a change, and the next scan shows it
            seen[path] = (held.st_size, held.st_mtime_ns)
    return seen
