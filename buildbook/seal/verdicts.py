"""Whether a verdict in `book.json` is better than the value, uncertainty and limit beside it allow."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from buildbook.core.decide import allowed_at_best
from buildbook.core.finding import Finding
from buildbook.core.published import JSON
from buildbook.render.jsonfile import MOST_BYTES as MOST_JSON
from buildbook.seal.derived import tell
from buildbook.seal.finds import Finds
from buildbook.seal.holder import Holder, Unreadable, whole

NO_EDITION = "no evidence package was compared that says which program wrote the book"
BETTER = "{number} says {verdict}, and its value, U and limit allow {best} at best"


def hold_verdicts(holder: Holder, found: Finds) -> None:
    """Tell `book.json` where a verdict in it is better than the rule allows; a worse one may have reasons in the rows.

    Where it is not known that this very program wrote the book it is told as not judged: another may have had another
    rule. Of data whose form this program does not know nothing is held.
    """
    name = f"{holder.data}{JSON}"
    if found.sums.get(name) is None or found.sums[name] != found.listed.get(name) or name in found.told:
        return
    try:
        better = list(_better(json.loads(whole(holder, name, MOST_JSON))))
    except (Unreadable, ArithmeticError, AttributeError, LookupError, TypeError, ValueError, RecursionError):
        return
    found.verdicts_held = True
    if better:
        more = f"; and {len(better) - 1} more" if len(better) > 1 else ""
        tell(found, name, f"{better[0]}{more}", found.other or ("" if found.compared else NO_EDITION))


def _better(data: Any) -> Iterator[str]:
    from pydantic import TypeAdapter

    read = TypeAdapter(Finding)
    for chapter in data["chapters"]:
        for check in chapter["checks"]:
            for entry in (*check["governing"], *check["references"]):
                finding = read.validate_python(entry["finding"])
                best = allowed_at_best(finding)
                if finding.verdict.met and best is not None and best.rank > finding.verdict.rank:
                    yield BETTER.format(number=entry["number"], verdict=finding.verdict.value, best=best.value)
