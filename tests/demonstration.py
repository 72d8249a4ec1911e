"""The demonstration, judged once for each process of the tests and its site written once for all of them."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

import pytest

from buildbook.pipeline import Made, make_book, write_book

HULL = Path(__file__).parent.parent / "demo_build" / "hull"


@cache
def demonstration() -> Made:
    """The book of the demonstration; whatever it consists of is frozen."""
    return make_book(HULL)


@contextmanager
def shared(factory: pytest.TempPathFactory, name: str) -> Iterator[Path]:
    """A folder that all processes of one run share; none of the others is in it while the block lasts."""
    base = factory.getbasetemp()
    base = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    with (base / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield base / name


def site(factory: pytest.TempPathFactory) -> Path:
    """The output folder of the demonstration without its printed book. Never changed: tests copy it."""
    with shared(factory, "site") as folder:
        if not (folder / "done").exists():
            write_book(demonstration(), HULL, folder / "out", pdf=False)
            (folder / "done").write_text("", encoding="utf-8")
    return folder / "out"
