"""How the tests are dealt out to the cores: those that share a costly fixture stay on one."""

from __future__ import annotations

import gc
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings
from xdist.remote import Producer
from xdist.scheduler.loadscope import LoadScopeScheduling

settings.register_profile("same each time", deadline=None, derandomize=True)  # a busy machine is no failure
settings.register_profile("deep", deadline=None, derandomize=False, max_examples=1000)
settings.load_profile("same each time")

ROOT = Path(__file__).parent.parent
TOGETHER = {  # modules of one folder that share the fixtures of its conftest
    "tests/again": "one package",
    "tests/end_to_end/test_determinism.py": "one build",
    "tests/end_to_end/test_same_values.py": "one build",
    "tests/end_to_end/test_size.py": "one build",
    "tests/parcel": "one package",
    "tests/render": "one book",
    "tests/second": "one survey",
    "tests/slow/test_print": "one printed book",
}
SPREAD = (  # long, and what they share costs little
    *("tests/slow/test_accessible.py", "tests/slow/test_fuzz.py", "tests/test_cli.py"),
    "tests/chapters/coating/test_no_loss_is_better.py",
    *("tests/end_to_end/test_faults.py", "tests/end_to_end/test_faults_folder.py"),
    *("tests/end_to_end/test_faults_hull_file.py", "tests/end_to_end/test_faults_laminate.py"),
)


# Each case makes a book of a whole folder, or starts a program: of the cases of one test every fourth runs quickly, the
# others with the slow tests.
MANY = (
    *("tests/end_to_end/test_faults", "tests/end_to_end/test_strangers_workbooks.py"),
    *("tests/end_to_end/test_own_heads.py", "tests/end_to_end/test_workbooks_same.py"),
    *("tests/parcel/test_own_heads.py", "tests/parcel/test_workbooks.py", "tests/parcel/test_withheld_ways.py"),
    *("tests/parcel/test_not_withheld.py", "tests/second/test_in_workbooks.py", "tests/face/test_paper.py"),
    *("tests/readers/test_mat.py", "tests/second/test_points_and_words.py::test_a_mistake_in_moisture"),
    *("tests/second/test_alike.py::test_a_sensor_held", "tests/test_cli.py::test_what_cannot_be_done"),
)
QUICK_OF_MANY = 4
LETTER = "one printed book, letter"
FIRST = ("one build", LETTER, "one printed book", "one book")  # they wait for whole builds; single tests fill the rest


class ByFixture(LoadScopeScheduling):
    """Deals out groups of tests in the order of collection."""

    def _split_scope(self, nodeid: str) -> str:
        return group_of(nodeid)


@pytest.hookimpl
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> LoadScopeScheduling:
    """The order of collection is kept: what takes longest is not what has most tests."""
    config.option.loadscopereorder = False
    return ByFixture(config, log)


@pytest.hookimpl(tryfirst=True)  # before the slow ones are left out
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes longest without a break comes first and what can be dealt out one by one last, so no core idles."""
    _most_of_many_are_slow(items)
    items.sort(key=lambda item: _turn(group_of(item.nodeid)))


@pytest.fixture(scope="session", autouse=True)
def _rare_collection() -> Iterator[None]:
    """Collect garbage rarely, and never look through ten thousand tests for it: about a sixth of the time.

    They stay out of it to the end, where pytest collects several times over.
    """
    before = gc.get_threshold()
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)
    yield
    gc.set_threshold(*before)


@pytest.fixture(scope="session", autouse=True)
def _tables_taken_apart_once() -> Iterator[None]:
    """In the tests of one process: most of them read tables of the demonstration as they are."""
    from tests.end_to_end.spoiling import tables_remembered

    with tables_remembered():
        yield


def _most_of_many_are_slow(items: list[pytest.Item]) -> None:
    """Mark them, in the order of the cases; those that are slow already do not count."""
    seen: Counter[str] = Counter()
    for item in items:
        test, case, _ = item.nodeid.partition("[")
        if case and test.startswith(MANY) and item.get_closest_marker("slow") is None:
            if seen[test] % QUICK_OF_MANY:
                item.add_marker(pytest.mark.slow)
            seen[test] += 1


def _turn(group: str) -> int:
    """The place in the order: the groups of whole builds one by one, then all others, then what is dealt out singly."""
    if group in FIRST:
        return FIRST.index(group)
    return len(FIRST) + group.startswith(SPREAD)


def group_of(nodeid: str) -> str:
    """The group of a test: its module, or the modules it shares a build with; the test alone in the long modules."""
    module = nodeid.partition("::")[0]
    if module in SPREAD:
        return nodeid
    if module.startswith("tests/slow/test_print") and "[letter" in nodeid:
        return LETTER
    return next((group for start, group in TOGETHER.items() if module.startswith(start)), module)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name at the end of the run what was not tested: on the worker where it was skipped nobody would see it."""
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = {str(report.longrepr[2]).removeprefix("Skipped: ") for report in skipped}
    for reason in sorted(reason for reason in reasons if reason.startswith("NOT RUN")):
        terminalreporter.write_line(reason, yellow=True)
