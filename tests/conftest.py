"""How the tests are dealt out to the cores: those that share a costly fixture stay on one."""

from __future__ import annotations

from pathlib import Path

import pytest

TESTS = Path(__file__).parent
TOGETHER = {  # modules of one folder that share the fixtures of its conftest
    "end_to_end/test_determinism.py": "one build",
    "end_to_end/test_same_values.py": "one build",
    "render": "one book",
}
SPREAD = ("slow/test_fuzz.py", "chapters/coating/test_no_loss_is_better.py")  # long, and what they share costs little


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Name a group for each test: its module, or the modules it shares a build with; none for the long modules."""
    for item in items:
        if group := group_of(item.path):
            item.add_marker(pytest.mark.xdist_group(group))


def group_of(path: Path) -> str:
    """The group of a test module; of a docstring's example, its own module; empty where each test goes by itself."""
    if not path.is_relative_to(TESTS):
        return path.as_posix()
    name = path.relative_to(TESTS).as_posix()
    if name in SPREAD:
        return ""
    return next((group for start, group in TOGETHER.items() if name.startswith(start)), name)
