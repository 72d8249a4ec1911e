"""The sixteen checks of the coating chapter, in the order of the work."""

from __future__ import annotations

from buildbook.chapters.coating.checks import (
    adhesion,
    appearance,
    climate,
    film,
    laminate,
    litres,
    metal_parts,
    overcoating,
    preparation,
    schedule,
)
from buildbook.chapters.coating.formulas.adhesion import cut_spacing, fracture_summary, pull_off_stress
from buildbook.chapters.coating.formulas.appearance import ciede2000
from buildbook.chapters.coating.formulas.climate import dew_point, dew_point_margin, gaps, longest_stretch
from buildbook.chapters.coating.formulas.film import (
    dry_film_from_wet,
    film_statistics,
    implied_dry_film,
    required_number,
    spot_means,
)
from buildbook.chapters.coating.formulas.preparation import grit_steps, salt_density
from buildbook.chapters.coating.formulas.schedule import overcoat_window, pot_life
from buildbook.chapters.coating.records import (
    Appearance,
    Batch,
    Climate,
    Coat,
    Colour,
    CrossCut,
    Effort,
    FilmReading,
    Gloss,
    MetalPart,
    Preparation,
    Product,
    PullOff,
    WaterBreak,
    Window,
)
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Place
from buildbook.core.check import ANY_RESULT, About, Check
from buildbook.core.finding import Verdict
from buildbook.sources import table

MEASURED = ANY_RESULT - {Verdict.INFORMATION, Verdict.NOT_MEASURED}
FACT = frozenset({Verdict.PASS, Verdict.FAIL, Verdict.INCONCLUSIVE, Verdict.NO_RECORD})
NOT_MEASURED = frozenset({Verdict.NOT_MEASURED})
NOT_APPLICABLE = frozenset({Verdict.NOT_APPLICABLE})
INFORMATION = frozenset({Verdict.INFORMATION})
BY_COAT = (Coat, "coat")
BY_VISIBILITY = (Place, "visibility")

CHECKS: tuple[Check, ...] = (
    Check(
        id="COA-01",
        question="Was she washed and de-waxed before anyone sanded?",
        about=About.WORK,
        judge=preparation.order_of_work,
        tables=(Place, Preparation),
        verdicts=FACT | NOT_APPLICABLE,
        quantities={preparation.ORDER: "1"},
        facts=(preparation.ORDER,),
        rule_in_words=True,
    ),
    Check(
        id="COA-02",
        question="Did water run off in one unbroken sheet?",
        judge=preparation.water_break,
        tables=(Place, WaterBreak, Instrument),
        verdicts=MEASURED | NOT_MEASURED,
        quantities={preparation.FILM: "s"},
    ),
    Check(
        id="COA-03",
        question="Did each grit take out the scratches of the last?",
        about=About.WORK,
        judge=preparation.grit_sequence,
        tables=(Place, Preparation),
        verdicts=FACT | NOT_APPLICABLE,
        quantities={preparation.RATIO: "1", preparation.NUMBER: "1", preparation.FINER: "1"},
        facts=(preparation.FINER,),
        chosen=(preparation.RATIO, preparation.NUMBER),
        formulas=(grit_steps,),
    ),
    Check(
        id="COA-04",
        question="Was the surface dry under every coat?",
        about=About.WORK,
        judge=climate.dew_point_margins,
        tables=(Coat, Climate, Product, Instrument),
        verdicts=MEASURED,
        quantities={climate.MARGIN: "K", climate.INTERVAL: "h"},
        conditions={climate.MARGIN: BY_COAT},
        formulas=(dew_point, dew_point_margin, gaps, longest_stretch),
    ),
    Check(
        id="COA-05",
        question="Were warmth and humidity right for the paint?",
        about=About.WORK,
        judge=climate.temperature_and_humidity,
        tables=(Coat, Climate, Product, Instrument),
        verdicts=MEASURED,
        quantities={name: unit for name, _, unit, _ in climate.QUANTITIES},
        conditions={name: BY_COAT for name, _, _, _ in climate.QUANTITIES},
    ),
    Check(
        id="COA-06",
        question="Was each coat put on at the right time after the last?",
        about=About.WORK,
        judge=overcoating.overcoating,
        tables=(Coat, Climate, Window),
        verdicts=MEASURED,
        quantities={overcoating.SINCE: "h"},
        conditions={overcoating.SINCE: BY_COAT},
        formulas=(overcoat_window,),
    ),
    Check(
        id="COA-07",
        question="Was the paint fresh, in the pot and in the tin?",
        about=About.WORK,
        judge=schedule.pot_life_and_batches,
        tables=(Coat, Climate, Product, Batch),
        verdicts=MEASURED,
        quantities={schedule.POT: "h", schedule.BATCHES: "1"},
        facts=(schedule.BATCHES,),
        conditions={schedule.POT: BY_COAT},
        formulas=(pot_life,),
    ),
    Check(
        id="COA-08",
        question="Is the film thick enough, everywhere it was measured?",
        judge=film.film_thickness,
        tables=(Place, FilmReading, Instrument),
        verdicts=MEASURED | NOT_MEASURED | NOT_APPLICABLE | INFORMATION,
        quantities={
            film.NOMINAL: "um",
            **{quantity: "%" if quantity == film.SHARE else "um" for quantity in film.QUANTITIES},
        },
        rules=tuple(dict.fromkeys(row["rule"] for row in table("film_rules"))),
        formulas=(film_statistics, spot_means, required_number),
    ),
    Check(
        id="COA-09",
        question="Do the litres used agree with the area and the film?",
        judge=litres.film_from_litres,
        tables=(Place, Coat, Product),
        verdicts=MEASURED | INFORMATION,
        quantities={litres.FROM_LITRES: "um"},
        formulas=(implied_dry_film, dry_film_from_wet),
    ),
    Check(
        id="COA-10",
        question="Does the paint stick?",
        judge=adhesion.adhesion,
        tables=(PullOff, CrossCut, Instrument),
        verdicts=MEASURED | NOT_MEASURED,
        quantities={adhesion.STRENGTH: "MPa", adhesion.CROSS_CUT: "1"},
        formulas=(pull_off_stress, fracture_summary, cut_spacing),
    ),
    Check(
        id="COA-11",
        question="Does she shine as agreed?",
        judge=appearance.gloss,
        tables=(Gloss, Instrument),
        verdicts=MEASURED | NOT_MEASURED | INFORMATION,
        quantities=dict.fromkeys(appearance.GLOSS.values(), "GU"),
        conditions=dict.fromkeys(appearance.GLOSS.values(), BY_VISIBILITY),
    ),
    Check(
        id="COA-12",
        question="Are reflections sharp, the surface even and free of specks?",
        judge=appearance.image_peel_dust,
        tables=(Place, Appearance, Instrument),
        verdicts=MEASURED | NOT_MEASURED | INFORMATION,
        quantities={appearance.IMAGE: "1", appearance.PEEL: "1", appearance.DUST: "1/dm2"},
        conditions=dict.fromkeys((appearance.IMAGE, appearance.PEEL, appearance.DUST), BY_VISIBILITY),
    ),
    Check(
        id="COA-13",
        question="Is she the colour that was ordered, all over?",
        judge=appearance.colour,
        tables=(Place, Colour, Instrument),
        verdicts=MEASURED | NOT_MEASURED | INFORMATION,
        quantities={appearance.DIFFERENCE: "1", appearance.YELLOW: "1"},
        conditions={appearance.DIFFERENCE: BY_VISIBILITY},
        formulas=(ciede2000,),
    ),
    Check(
        id="COA-14",
        question="Were the metal parts clean and primed in time?",
        judge=metal_parts.metal_parts,
        tables=(Place, MetalPart, Instrument),
        verdicts=MEASURED | NOT_MEASURED | INFORMATION,
        quantities={
            metal_parts.SALT: "mg/m2",
            metal_parts.DUST: "1",
            metal_parts.PROFILE: "um",
            metal_parts.PRIMER: "h",
        },
        formulas=(salt_density,),
    ),
    Check(
        id="COA-15",
        question="How many people worked how many days on it?",
        about=About.WORK,
        judge=schedule.effort,
        tables=(Effort,),
        verdicts=INFORMATION | frozenset({Verdict.NO_RECORD, Verdict.INCONCLUSIVE}),
        quantities={schedule.EFFORT: "h"},
        facts=(schedule.EFFORT,),
    ),
    Check(
        id="COA-16",
        question="Was the laminate dry and hard before paint?",
        judge=laminate.dry_and_hard,
        tables=(Place, Moisture, Hardness, Instrument),
        verdicts=MEASURED | NOT_MEASURED | INFORMATION,
        quantities={laminate.MOISTURE: "1", laminate.BARCOL: "1"},
    ),
)
