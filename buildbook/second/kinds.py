"""What can be measured a second time, table by table, and the circumstances in which two readings must be alike."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from buildbook.chapters.coating.records.surveys import Appearance, Colour, CrossCut, FilmReading, Gloss, PullOff
from buildbook.chapters.laminate.records import BondSurvey, BurnOff, Material, Ply, StrengthTest, ThicknessReading
from buildbook.chapters.machine_records import Machine
from buildbook.chapters.propeller.blade_records import BladeReading, SectionReading
from buildbook.chapters.propeller.checks.slip import AS_ORDERED
from buildbook.chapters.propeller.drive_records import Drive
from buildbook.chapters.propeller.records import DesignSection, PitchReading, Propeller
from buildbook.chapters.propeller.subjects import in_radii, same_radius
from buildbook.chapters.register.records import Document
from buildbook.chapters.shafting.records import CouplingGap, RunOut, Shaft
from buildbook.chapters.shared_records import Hardness, Instrument, Moisture, Place
from buildbook.chapters.systems.records.electric import Bonding, Circuit, Insulation, VoltageDrop
from buildbook.chapters.trial_records import ShaftSpeed, TrialRun
from buildbook.chapters.vibration.records import Position, VibrationRecord
from buildbook.chapters.vibration.sound_records import SoundPlace
from buildbook.core.record import Record

Kind = type[Record]


@dataclass(frozen=True, slots=True)
class Asked:
    """One table of the sheet.

    `printed` are the columns that the sheet gives: position, running number, condition. `values` are the columns of
    which one makes a row a reading; they and all others are left for the surveyor. `place` names the column that says
    where, `how` is a sentence for him, `caution` what can hurt.
    """

    kind: Kind
    place: str
    printed: tuple[str, ...]
    values: tuple[str, ...]
    how: str
    caution: str = ""


ASHORE = (
    "Caution: she stands ashore or hangs. Go under the hull only where she is shored and the yard says so, and never "
    "while she is being lifted."
)
PROPELLERS = (
    "Caution: a shaft that turns takes off a hand. Have the engines locked out, the keys in your own pocket and the "
    "gearboxes in neutral before anybody touches a blade."
)
TRIAL = (
    "Caution: shafts turn and machines run hot. Keep clothes, cables and hands away from couplings and belts, hold on "
    "where she may roll, and wear ear protection in the machinery space."
)
CIRCUITS = (
    "Caution: mains and batteries can kill or burn. Only people who are licensed for it open boxes, unplug loads and "
    "measure there; local code decides."
)

ASKED: tuple[Asked, ...] = (
    Asked(
        Moisture,
        "place",
        ("place", "number", "meter_scale"),
        ("reading",),
        "Use a meter with the same scale. Read the dry reference at a dry spot of the same laminate.",
        ASHORE,
    ),
    Asked(
        ThicknessReading,
        "zone",
        ("zone", "number", "grid", "x", "y", "z"),
        ("thickness",),
        "Set the instrument on a piece of known thickness and write down the velocity it was set to.",
        ASHORE,
    ),
    Asked(
        Hardness,
        "place",
        ("place", "attempt", "number"),
        ("barcol",),
        "Impressor model 934-1. It leaves a mark: ask the owner first.",
        ASHORE,
    ),
    Asked(
        FilmReading,
        "zone",
        ("zone", "attempt", "number", "spot", "system", "extra"),
        ("thickness",),
        "The layers named are those that the other readings hold; write others where yours hold others.",
        ASHORE,
    ),
    Asked(Gloss, "zone", ("zone", "attempt", "number", "angle"), ("gloss",), "Wash and dry the surface first.", ASHORE),
    Asked(
        PitchReading,
        "propeller",
        ("propeller", "blade", "attempt", "number", "radius", "on"),
        ("angle", "height", "pitch"),
        "One row for each blade and radius. Write the pitch, or add rows with angles and heights instead.",
        f"{PROPELLERS} {ASHORE}",
    ),
    Asked(
        RunOut,
        "part",
        ("part", "attempt", "number", "station", "along", "angle"),
        ("reading",),
        "One row for each station and quarter of a turn. Write how the shaft lay: only readings where it lay "
        "alike are compared.",
        f"{PROPELLERS} {ASHORE}",
    ),
    Asked(
        CouplingGap,
        "part",
        ("part", "attempt", "number", "angle"),
        ("gap",),
        "Afloat, with the bolts of the coupling out. Write down how long she had been afloat and how she was loaded.",
        PROPELLERS,
    ),
    Asked(
        TrialRun,
        "",
        ("run", "setting"),
        ("speed",),
        "The runs that vibration was measured in. Write down how she was loaded: readings are only compared where the "
        "load, the machines that ran and the sea were alike.",
        TRIAL,
    ),
    Asked(ShaftSpeed, "propeller", ("run", "propeller"), ("shaft_speed",), "Both shafts, in each run.", TRIAL),
    Asked(
        VibrationRecord,
        "position",
        ("record", "position", "axis", "run", "attempt", "mounting"),
        ("file",),
        "At least one minute for each record. Lay the files with the samples beside this table. The mounting named is "
        "the yard's: write yours where you held the sensor otherwise.",
        TRIAL,
    ),
    Asked(
        Bonding,
        "fitting",
        ("fitting", "attempt"),
        ("resistance",),
        "From the fitting to the common point. Write the resistance of your leads beside it.",
        ASHORE,
    ),
    Asked(
        Insulation,
        "circuit",
        ("circuit", "attempt", "between"),
        ("resistance",),
        "Circuit off, loads unplugged. Where your tester reads beyond its range, say so.",
        CIRCUITS,
    ),
    Asked(
        VoltageDrop,
        "circuit",
        ("circuit", "attempt"),
        ("source", "load"),
        "Load running, both voltages at one moment, and the current.",
        CIRCUITS,
    ),
)
# What makes a row a reading; the table of instruments comes with empty rows too.
SHEETS: Mapping[Kind, tuple[str, ...]] = {
    Instrument: ("instrument",),
    **{asked.kind: asked.values for asked in ASKED},
}

# Tables that say what she is, not what was measured: the yard's serve for both sides, unless the survey brings its own.
LENT: tuple[Kind, ...] = (
    Place,
    Propeller,
    DesignSection,
    Position,
    SoundPlace,
    Machine,
    Drive,
    Shaft,
    Material,
    Ply,
    Document,
    Circuit,
)


@dataclass(frozen=True, slots=True)
class Alike:
    """A column in which two readings must be alike, in words.

    `within` is how far two numbers may be apart (None: the same words or the same number), as a share of the first
    where `relative`. `of_limit`: the limit holds for what this column names, so that a reading of another is not judged
    by it.
    """

    column: str
    words: str
    within: float | None = None
    relative: bool = False
    of_limit: bool = False


ALIKE: Mapping[Kind, tuple[Alike, ...]] = {
    Moisture: (
        Alike("meter_scale", "scale of the meter", of_limit=True),
        Alike("surface_state", "state of the surface"),
    ),
    FilmReading: (Alike("method", "method"), Alike("system", "layers measured", of_limit=True)),
    Colour: (Alike("illuminant", "illuminant"), Alike("geometry", "geometry")),
    Appearance: (
        Alike("image_method", "method of the image"),
        Alike("peel_scale", "scale of the orange peel", of_limit=True),
    ),
    CrossCut: (Alike("scale", "scale of the class", of_limit=True), Alike("spacing", "spacing of the cuts")),
    PullOff: (Alike("on", "where it was pulled"), Alike("dolly", "diameter of the dolly")),
    BondSurvey: (Alike("method", "method"), Alike("tool", "hammer or probe"), Alike("pitch", "spacing of the grid")),
    BurnOff: (Alike("method", "method"), Alike("gelcoat", "what was done with the gelcoat")),
    StrengthTest: (
        Alike("kind", "kind of test"),
        Alike("method", "method"),
        Alike("direction", "direction of the load"),
        Alike("conditioning", "conditioning"),
    ),
    RunOut: (Alike("lay", "how the shaft lay"),),
    CouplingGap: (Alike("afloat", "whether she was afloat"), Alike("load", "load")),
    VibrationRecord: (Alike("mounting", "how the sensor was held"),),
    TrialRun: (
        Alike("load", "load"),
        Alike("running", "machines that ran"),
        Alike("sea_state", "sea state", 1.0),
    ),
    ShaftSpeed: (Alike("shaft_speed", "shaft speed", 0.02, relative=True),),
    Bonding: (Alike("ashore", "whether she was out of the water"),),
    Insulation: (Alike("between", "between what it was measured"), Alike("voltage", "test voltage")),
    VoltageDrop: (Alike("current", "current", 0.1, relative=True),),
}


@dataclass(frozen=True, slots=True)
class StandsAt:
    """The column of a table that says where on its blade a reading stands, and its words.

    `apart` is how far two are from each other, None where they do not mean one place.
    """

    column: str
    apart: Callable[[Any, Any], float | None]
    words: Callable[[Any], str]


def _radii_apart(one: float, other: float) -> float | None:
    return abs(one - other) if same_radius(one, other) else None


# Where readings say themselves where they stand, the outermost of several is taken apart; a running number says nothing
STANDS_AT: Mapping[Kind, StandsAt] = {
    PitchReading: StandsAt("radius", _radii_apart, in_radii),
    SectionReading: StandsAt("radius", _radii_apart, in_radii),
    BladeReading: StandsAt("blade", lambda one, other: 0.0 if one == other else None, str),
}
# Notes of a check which say that something was not measured and that another number stands in for it.
STANDS_IN = (AS_ORDERED,)
# Readings that what happens afloat changes: one before she was launched says nothing about one after it.
CHANGED_AFLOAT: tuple[Kind, ...] = (Moisture,)


def asked_for(kind: Kind) -> Asked | None:
    """The table of the sheet with these rows, None where the sheet does not ask for it."""
    return next((asked for asked in ASKED if asked.kind is kind), None)
