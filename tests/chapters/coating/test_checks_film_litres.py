"""COA-09 the litres that were mixed against area and film: every verdict, on synthetic rows.

film = 10 x solids x litres x (1 - loss) / area: 10 x 50 x 20 x 0.6 / 100 = 60 um (paint-company note, read).
"""

from __future__ import annotations

import pytest

from buildbook.chapters.coating.checks.litres import FROM_LITRES, film_from_litres
from buildbook.chapters.coating.records import Coat, Product
from buildbook.chapters.shared_records import Place
from tests.chapters.evidence_builder import evidence
from tests.chapters.small_folder import (
    CONDITIONAL_FAIL,
    CONDITIONAL_PASS,
    FAIL,
    INCONCLUSIVE,
    INFORMATION,
    NO_RECORD,
    PASS,
    Tables,
    expanded,
    near,
    one,
    said,
    specification,
    specified,
    value,
    zone,
)

SHEET = {"product": "PU-T", "volume_solids": 50}


def coat(number, litres=20.0, loss=40.0, where="Z1", **more):
    start = f"2026-03-{10 + number} 08:00"
    row = {"coat": f"{where}-{number}", "zone": where, "layer": number, "product": "PU-T", "litres": litres}
    return {**row, "loss": loss, "mixed": start, "started": start, "finished": start, **more}


def litres(*coats, limits=(), area=100.0, sheet=SHEET, unread=None, places=None):
    tables: Tables = {Place: places or [zone(area=area)], Coat: coats, Product: [sheet] if sheet else []}
    return list(film_from_litres(evidence(tables, specification=specification(*limits), unread=unread)))


def film(low=None, high=None):
    return (specified("COA-09", FROM_LITRES, "um", low, high),)


def test_coa_09_pass_the_litres_agree_with_the_film():
    """Two coats of 60 um: 120 um in 100 to 200 um."""
    found = one(litres(coat(1), coat(2), limits=film(100.0, 200.0)), FROM_LITRES)
    assert (found.verdict, value(found), found.margin) == (PASS, near(120.0), near(20.0))
    assert said(found, "a check of plausibility")
    assert said(found, "It is taken as good to 5 points to either side")
    assert len(found.at) == 2


@pytest.mark.parametrize("ends", [(150.0, 200.0), (50.0, 100.0)], ids=["too little paint", "too much paint"])
def test_coa_09_fail_the_litres_do_not_agree(ends):
    assert one(litres(coat(1), coat(2), limits=film(*ends))).verdict is FAIL


def test_coa_09_conditional_pass_near_the_limit_since_the_loss_is_a_guess():
    """5 points of a loss of 40 % are 1/12 of the film, rectangular: 120 / 12 / sqrt(3) = 5.774, U = 11.547 um.

    The same guess goes into both coats, so their parts are added.
    """
    found = one(litres(coat(1), coat(2), limits=film(110.0, 200.0)))
    assert (found.verdict, expanded(found)) == (CONDITIONAL_PASS, near(11.547, abs=1e-3))


def test_coa_09_conditional_fail_under_the_limit_by_less_than_the_guess():
    missed = one(litres(coat(1), coat(2), limits=film(125.0, 200.0)))
    assert (missed.verdict, missed.margin) == (CONDITIONAL_FAIL, near(-5.0))


def test_coa_09_thinner_is_not_counted_as_paint():
    """Litres are mixed paint before thinner: 10 % thinner changes nothing of the solids."""
    assert value(one(litres(coat(1, thinning=10.0)))) == near(60.0)


def test_coa_09_the_wet_film_comb_is_said_beside():
    """160 um wet, 50 % solids, 10 % thinner: 160 x 50 / 110 = 72.7 um."""
    found = one(litres(coat(1, thinning=10.0, wet_film=160.0)))
    assert found.working[-1] == "by the wet-film comb, solids and thinning: 72.7 µm"


def test_coa_09_information_without_a_limit():
    assert one(litres(coat(1))).verdict is INFORMATION


@pytest.mark.parametrize(
    ("coats", "more", "words"),
    [
        ((coat(1), coat(2, litres=None)), {}, "Coat Z1-2: litres or loss not on record."),
        ((coat(1), coat(2, loss=None)), {}, "Coat Z1-2: litres or loss not on record."),
        ((coat(1),), {"sheet": None}, "Coat Z1-1: the data sheet row of its product not on record."),
        ((coat(1),), {"area": None}, "The area of this zone is not given."),
        ((), {}, "coating/coats.csv: the table has no rows."),
    ],
    ids=["litres", "loss", "data sheet", "area", "coating log"],
)
def test_coa_09_no_record_of_something_the_sum_needs(coats, more, words):
    found = one(litres(*coats, limits=film(100.0, 200.0), **more))
    assert (found.verdict, found.notes) == (NO_RECORD, (words,))
    assert found.limit is not None


def test_coa_09_no_record_of_a_painted_zone_without_coats():
    found = litres(coat(1), places=[zone(area=100.0), zone("Z2")])
    assert one(found, place="Z2").verdict is NO_RECORD


def test_coa_09_inconclusive_when_no_coat_can_be_read():
    held = evidence({Place: [zone()]}, unread={Coat: [{"coat": "Z1-1", "zone": "Z1"}]})
    assert one(film_from_litres(held)).verdict is INCONCLUSIVE


def test_coa_09_inconclusive_when_a_layer_has_no_row():
    found = one(litres(coat(1), coat(3), limits=film(100.0, 200.0)))
    assert found.verdict is INCONCLUSIVE
    assert said(found, "Layer 2 has no row in the coating log.")
