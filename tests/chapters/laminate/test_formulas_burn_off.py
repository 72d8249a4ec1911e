"""Burn-off, densities and voids against printed and worked examples."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buildbook.chapters.laminate.formulas import burn_off
from buildbook.formulas import OutOfRange
from buildbook.formulas.uncertainty import propagate
from tests.published_values import numbers, rows


def value(row: dict[str, str], head: str) -> float:
    return float(row[head])


@pytest.mark.parametrize("row", rows("laminate_burn_off"), ids=lambda row: row["example"])
def test_glass_content(row):
    weighings = [value(row, head) for head in ("crucible [g]", "full [g]", "residue [g]")]
    assert burn_off.glass_content(*weighings) == pytest.approx(value(row, "glass [%]"), abs=value(row, "tolerance"))
    loss = 100.0 - burn_off.glass_content(*weighings)
    assert loss == pytest.approx(value(row, "loss [%]"), abs=value(row, "tolerance"))


def test_the_crucible_counts_in_both_differences():
    """U of the 0.3 mg weighings of example W1, after JCGM 100: about 0.007 % where the terms are kept together."""
    (row,) = rows("laminate_burn_off")
    names = {"crucible": "crucible [g]", "full": "full [g]", "residue": "residue [g]"}
    inputs = {name: (value(row, head), 0.0003, name) for name, head in names.items()}
    assert propagate(burn_off.glass_content, inputs).standard_uncertainty == pytest.approx(0.007, abs=0.0005)


@pytest.mark.parametrize("row", rows("laminate_volumes"), ids=lambda row: row["example"])
def test_volumes_of_real_plates(row):
    heads = ("glass [%]", "density [g/cm3]", "glass density [g/cm3]", "resin density [g/cm3]")
    found = burn_off.volumes(*(value(row, head) for head in heads))
    wanted = [value(row, head) for head in ("glass volume [%]", "resin volume [%]", "voids [%]")]
    assert [found.glass, found.resin, found.voids] == pytest.approx(wanted, abs=value(row, "tolerance"))


@pytest.mark.parametrize("row", rows("laminate_voids"), ids=lambda row: row["example"])
def test_theoretical_density(row):
    glass, density, heavy, light = (
        value(row, head) for head in ("glass [%]", "density [g/cm3]", "glass density [g/cm3]", "resin density [g/cm3]")
    )
    theory = burn_off.void_free_density(glass, heavy, light)
    assert theory == pytest.approx(value(row, "theoretical density [g/cm3]"), abs=value(row, "tolerance density"))
    voids = burn_off.void_content(glass, density, heavy, light)
    assert voids == pytest.approx(value(row, "voids [%]"), abs=value(row, "tolerance voids"))


@given(st.floats(1, 99), st.floats(1.0, 2.5), st.floats(2.4, 2.7), st.floats(1.0, 1.4))
def test_both_printed_formulas_give_the_same_voids(glass, density, heavy, light):
    """ASTM D3171 method I and ASTM D2734 are one algebra."""
    theory = burn_off.void_free_density(glass, heavy, light)
    by_density = 100.0 * (theory - density) / theory
    assert burn_off.void_content(glass, density, heavy, light) == pytest.approx(by_density, abs=1e-9)


@pytest.mark.parametrize("row", rows("laminate_void_uncertainty"), ids=lambda row: row["example"])
def test_one_density_cannot_decide_one_per_cent_of_voids(row):
    names = {
        "glass": "glass [%]",
        "density": "density [g/cm3]",
        "glass_density": "glass density [g/cm3]",
        "resin_density": "resin density [g/cm3]",
    }
    inputs = {name: (value(row, head), value(row, f"u {head}"), name) for name, head in names.items()}
    found = propagate(burn_off.void_content, inputs)
    assert found.value == pytest.approx(value(row, "voids [%]"), abs=0.0005)
    assert found.standard_uncertainty == pytest.approx(value(row, "u voids [%]"), abs=0.005)
    terms = [abs(part.in_result) for part in found.contributions]
    assert terms == pytest.approx(numbers(row["terms [%]"]), abs=0.005)


@pytest.mark.parametrize("row", rows("laminate_density"), ids=lambda row: row["example"])
def test_density_by_immersion(row):
    found = burn_off.density_by_immersion(
        *(value(row, head) for head in ("in air [g]", "in water [g]", "water [g/cm3]"))
    )
    assert found == pytest.approx(value(row, "expected [g/cm3]"), abs=value(row, "tolerance"))


@pytest.mark.parametrize("row", rows("water_density"), ids=lambda row: row["temperature [degC]"])
def test_water(row):
    found = burn_off.water_density(value(row, "temperature [degC]"))
    assert found == pytest.approx(value(row, "expected [g/cm3]"), abs=value(row, "tolerance"))


@pytest.mark.parametrize("row", rows("laminate_fractions"), ids=lambda row: row["example"])
def test_fractions(row):
    given_values = [value(row, head) for head in ("given", "glass density [g/cm3]", "resin density [g/cm3]")]
    found = burn_off.volume_from_mass(*given_values)
    assert found == pytest.approx(value(row, "expected"), abs=value(row, "tolerance"))


@pytest.mark.parametrize("row", rows("laminate_plies"), ids=lambda row: row["example"])
def test_plies(row):
    many, weight, loss = int(row["plies"]), value(row, "weight [g/m2]"), value(row, "loss [%]")
    found = burn_off.scheduled_residue([(weight, loss)] * many)
    assert found == pytest.approx(value(row, "expected"), abs=value(row, "tolerance"))


def test_a_piece_of_25_mm_leaves_what_the_schedule_says():
    """Example W27: 2.940 g of glass on 25 x 25 mm are 4704 g/m2 (calculated)."""
    assert burn_off.residue_per_area(25.0, 27.940, 25.0, 25.0) == pytest.approx(4704.0)


@pytest.mark.parametrize("weighings", [(25.0, 30.0, 31.0), (25.0, 24.0, 26.0), (25.0, 30.0, 25.0), (30.0, 25.0, 28.0)])
def test_weighings_in_another_order_are_refused(weighings):
    with pytest.raises(OutOfRange):
        burn_off.glass_content(*weighings)
