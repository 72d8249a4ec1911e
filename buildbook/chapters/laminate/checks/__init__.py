"""The twelve checks of the laminate chapter."""

from __future__ import annotations

from buildbook.chapters.laminate.checks import (
    bond,
    burned,
    coverage,
    hardness,
    plies,
    stiff,
    tested,
    thickness,
    weighings,
)
from buildbook.chapters.laminate.formulas.burn_off import (
    density_by_immersion,
    glass_content,
    residue_per_area,
    scheduled_residue,
    void_content,
    water_density,
)
from buildbook.chapters.laminate.formulas.hardness import readings_needed
from buildbook.chapters.laminate.formulas.samples import design_value, normality, outliers, tolerance_limit
from buildbook.chapters.laminate.formulas.stiffness import (
    bending_stiffness,
    parallel_fibres,
    random_fibres,
    stretching_stiffness,
)
from buildbook.chapters.laminate.formulas.strength import (
    flatwise_strength,
    flexural_strength,
    short_beam_strength,
    tensile_strength,
)
from buildbook.chapters.laminate.formulas.thickness import nominal_thickness, skin_thickness
from buildbook.chapters.laminate.records import (
    BondFinding,
    BondSurvey,
    BurnOff,
    CoreBond,
    Material,
    Ply,
    PlyCount,
    StrengthTest,
    ThicknessReading,
)
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Place
from buildbook.core.check import ANY_RESULT, About, Check
from buildbook.core.finding import Verdict
from buildbook.core.stage import Stage
from buildbook.formulas.statistics import t_interval

MEASURED = ANY_RESULT - {Verdict.INFORMATION}
COUNTED = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD, Verdict.NOT_MEASURED})
INFORMATION = frozenset({Verdict.INFORMATION})
BY_SKIN = (BurnOff, "skin")
BY_SERIES = (StrengthTest, "series")

CHECKS: tuple[Check, ...] = (
    Check(
        id="LAM-01",
        question="Does every cut-out hold the glass it should?",
        judge=burned.glass_of_coupons,
        tables=(BurnOff, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={burned.GLASS: "%"},
        conditions={burned.GLASS: BY_SKIN},
        formulas=(glass_content,),
    ),
    Check(
        id="LAM-02",
        question="Does every part of her hold it, not just one coupon?",
        judge=burned.glass_of_zones,
        tables=(BurnOff, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={burned.MEAN: "%"},
        conditions={burned.MEAN: BY_SKIN},
        formulas=(glass_content, t_interval),
    ),
    Check(
        id="LAM-03",
        question="Is air shut in between the fibres?",
        judge=burned.voids_of_coupons,
        tables=(BurnOff, Ply, Material, Instrument),
        verdicts=MEASURED,
        quantities={burned.VOIDS: "%"},
        conditions={burned.VOIDS: BY_SKIN},
        formulas=(density_by_immersion, water_density, void_content),
    ),
    Check(
        id="LAM-04",
        question="Are all the layers there?",
        judge=plies.plies_counted,
        tables=(PlyCount, Ply, BurnOff),
        verdicts=COUNTED,
        quantities={plies.PLIES: "1"},
        facts=(plies.PLIES,),
    ),
    Check(
        id="LAM-05",
        question="Does the burned-out glass weigh what the schedule says?",
        judge=plies.residue,
        tables=(BurnOff, Ply, Material, Instrument),
        verdicts=MEASURED,
        quantities={plies.RESIDUE: "g/m2"},
        conditions={plies.RESIDUE: BY_SKIN},
        formulas=(residue_per_area, scheduled_residue),
    ),
    Check(
        id="LAM-06",
        question="Is the skin as thick as its glass predicts?",
        judge=thickness.thickness,
        tables=(BurnOff, Ply, Material, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={thickness.THICKNESS: "mm", thickness.OWN: "%"},
        conditions={thickness.THICKNESS: BY_SKIN, thickness.OWN: BY_SKIN},
        formulas=(nominal_thickness, skin_thickness),
    ),
    Check(
        id="LAM-07",
        question="Is the resin hard?",
        judge=hardness.hard_enough,
        tables=(Hardness, Ply, Material, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={hardness.MEAN: "1", hardness.NUMBER: "1"},
        formulas=(readings_needed,),
    ),
    Check(
        id="LAM-08",
        question="Is it as strong as the designer counted on?",
        judge=tested.strength,
        tables=(StrengthTest, Ply, Material, BurnOff, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={tested.DESIGN: "MPa", tested.BASIS: "MPa", stiff.STIFFNESS: "MPa"},
        conditions={tested.DESIGN: BY_SERIES, tested.BASIS: BY_SERIES, stiff.STIFFNESS: BY_SERIES},
        formulas=(
            tensile_strength,
            flexural_strength,
            short_beam_strength,
            design_value,
            tolerance_limit,
            outliers,
            normality,
            parallel_fibres,
            random_fibres,
            stretching_stiffness,
            bending_stiffness,
        ),
    ),
    Check(
        id="LAM-09",
        question="Can these weighings be trusted?",
        about=About.WORK,
        judge=weighings.weighings,
        tables=(BurnOff, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={
            weighings.MASS: "g",
            weighings.FURNACE: "degC",
            weighings.CHANGE: "mg",
            weighings.CLEAN: "1",
            weighings.SPECIMENS: "1",
        },
        conditions={weighings.SPECIMENS: BY_SKIN},
        facts=(weighings.CLEAN,),
    ),
    Check(
        id="LAM-10",
        question="Where was she sampled, and where not?",
        about=About.WORK,
        judge=coverage.sampled,
        tables=(Place, Ply, BurnOff),
        verdicts=COUNTED,
        quantities={coverage.OPENING: "1", coverage.SKIN: "1", coverage.WITNESS: "1"},
        conditions={coverage.SKIN: BY_SKIN},
        facts=(coverage.OPENING, coverage.WITNESS),
    ),
    Check(
        id="LAM-11",
        question="Is the core bonded to the skins?",
        judge=bond.core_bond,
        tables=(CoreBond, BondSurvey, BondFinding, Material, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={bond.STRENGTH: "MPa", bond.IN_CORE: "%", bond.AREA: "%", bond.OPEN: "1"},
        facts=(bond.OPEN,),
        formulas=(flatwise_strength,),
    ),
    Check(
        id="LAM-12",
        question="What will the next survey start from?",
        due=Stage.PAINTED,
        judge=coverage.baseline,
        tables=(ThicknessReading, Moisture, Place, Instrument),
        verdicts=MEASURED | INFORMATION,
        quantities={coverage.THICKNESS: "mm", coverage.MOISTURE: "1"},
    ),
)
