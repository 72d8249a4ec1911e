"""No verdict of a book may be better than value, uncertainty and limit beside it allow; no row is worked out again."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from buildbook.core.decide import allowed_at_best
from buildbook.exports import differing
from buildbook.render.place import Refused
from buildbook.seal.sign import sign
from buildbook.seal.verify import verify
from tests.demonstration import demonstration, site
from tests.seal.conftest import IDENTITY, no_passphrase
from tests.seal.test_verify_folder import relisted, run

NOT_AGAIN = "No finding was worked out again from the rows: values and verdicts are as book.json says."


def flipped(out: Path, choose: Callable[[dict[str, Any]], bool], verdict: str) -> str:
    """The first finding of a kind gets another verdict, all lists written anew; its number."""
    data = json.loads((out / "book.json").read_bytes())
    checks = (check for chapter in data["chapters"] for check in chapter["checks"])
    entry = next(one for check in checks for one in check["governing"] if choose(one["finding"]))
    entry["finding"]["verdict"] = verdict
    (out / "book.json").write_text(json.dumps(data), "utf-8")
    kept = [line for line in (out / "SHA256SUMS").read_text("utf-8").splitlines(True) if line.startswith("#")]
    relisted(out, "SHA256SUMS")
    with (out / "SHA256SUMS").open("a", encoding="utf-8") as file:
        file.writelines(kept)
    relisted(out, "SHA256SUMS.release")
    return str(entry["number"])


def test_no_verdict_of_the_demonstration_is_better_than_allowed() -> None:
    met = [finding for finding in demonstration().findings if finding.verdict.met]
    best = [(finding, allowed_at_best(finding)) for finding in met]
    assert sum(allowed is not None for _, allowed in best) > 1000
    assert [finding.key for finding, allowed in best if allowed and allowed.rank > finding.verdict.rank] == []


def test_a_verdict_better_than_its_numbers_is_named_and_not_signed(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, keys: Callable[..., Path]
) -> None:
    """The package is left out: nobody knows then which program wrote the book, so it is not judged and no success."""
    out = Path(shutil.copytree(site(tmp_path_factory), tmp_path / "out"))
    package = next(out.glob("*-evidence.zip"))
    package.unlink()
    lines = (out / "SHA256SUMS.release").read_text("utf-8").splitlines(keepends=True)
    (out / "SHA256SUMS.release").write_text("".join(line for line in lines if package.name not in line), "utf-8")
    assert verify(out).verdicts_held
    number = flipped(out, lambda finding: finding["verdict"] == "fail" and finding["measured"] is not None, "pass")
    told = verify(out).otherwise
    assert told["book.json"].startswith(f"{number} says pass, and its value, U and limit allow ")
    with pytest.raises(Refused):
        sign(out, keys("yard"), IDENTITY, no_passphrase, differing)


def test_what_was_not_done_is_said(papers: Path, out: Path) -> None:
    for path in (papers, out):
        code, said = run(path)
        assert (code, NOT_AGAIN in said) == (0, True)
