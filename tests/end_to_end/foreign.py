"""Tables of the demonstration with heads and words as a German or an Italian yard may write them. The words are from
memory; nobody's tables are copied.
"""

from __future__ import annotations

from pathlib import Path

from tests.end_to_end.spoiling import Sheet

HEADS = {
    "laminate/burn_off.csv": {
        "coupon": "Probe",
        "attempt": "Versuch",
        "opening": "Öffnung",
        "skin": "Laminatseite",
        "position": "Lage am Rumpf",
        "at": "Datum",
        "method": "Verfahren",
        "crucible": "Tiegel [g]",
        "full": "Tiegel voll [g]",
        "residue": "Glührückstand [g]",
        "reheated": "erneut geglüht [g]",
        "length": "Länge [mm]",
        "width": "Breite [mm]",
        "thickness": "Dicke [mm]",
        "in_air": "Gewicht an Luft [g]",
        "in_water": "Gewicht in Wasser [g]",
        "water": "Wasser [°C]",
        "furnace": "Ofen [°C]",
        "filled": "gefüllt",
        "balance": "Waage",
        "caliper": "Messschieber",
        "by": "Prüfer",
    },
    "coating/climate.csv": {
        "at": "Data e ora",
        "air": "Temperatura aria",
        "humidity": "Umidità [%]",
        "surface": "Superficie [°C]",
        "instrument": "Strumento",
        "surface_instrument": "Strumento superficie",
    },
    "hardness.csv": {
        "place": "Luogo",
        "attempt": "Prova",
        "number": "Numero",
        "at": "Ora",
        "barcol": "Durezza Barcol",
        "instrument": "Strumento",
    },
    "systems/insulation.csv": {
        "circuit": "Stromkreis",
        "attempt": "Versuch",
        "at": "Datum",
        "between": "Messung zwischen",
        "voltage": "Spannung [V]",
        "resistance": "Widerstand [Mohm]",
        "beyond": "über Messbereich",
        "by": "Prüfer",
        "instrument": "Messgerät",
    },
    "places.csv": {
        "place": "Ort",
        "name": "Bezeichnung",
        "kind": "Art",
        "area": "Fläche [m2]",
        "visibility": "Sicht",
        "substrate": "Untergrund",
        "painted": "lackiert",
        "note": "Bemerkung",
    },
}
WORDS = {
    ("laminate/burn_off.csv", "skin"): {
        "single skin": "Vollaminat",
        "outer skin": "Außenhaut",
        "inner skin": "Innenhaut",
    },
    ("laminate/burn_off.csv", "filled"): {"no": "nein", "yes": "ja"},
    ("systems/insulation.csv", "beyond"): {"no": "nein", "yes": "ja"},
    ("systems/insulation.csv", "between"): {
        "live conductors and earth": "Leiter gegen Erde",
    },
    ("places.csv", "painted"): {"no": "n.i.O.", "yes": "i.O."},
    ("places.csv", "visibility"): {"high": "hoch", "low": "niedrig"},
}

# What such a yard writes, by hand: some in every table, some in one; a unit that the file does not give.
COLUMNS = """\
[heads]
"Prüfer" = "by"
"Messgerät" = "instrument"
"Strumento" = "instrument"
"Versuch" = "attempt"
"Datum" = "at"

["laminate/burn_off.csv".heads]
"Probe" = "coupon"
"Öffnung" = "opening"
"Laminatseite" = "skin"
"Lage am Rumpf" = "position"
"Verfahren" = "method"
"Tiegel [g]" = "crucible"
"Tiegel voll [g]" = "full [g]"
"Glührückstand" = "residue"
"erneut geglüht" = "reheated"
"länge" = "length"
"Breite" = "width"
"Dicke [mm]" = "thickness"
"Gewicht an Luft" = "in_air"
"Gewicht in Wasser" = "in_water"
"Wasser" = "water"
"Ofen" = "furnace"
"gefüllt" = "filled"
"Waage" = "balance"
"Messschieber" = "caliper"

["laminate/burn_off.csv".words.skin]
"Vollaminat" = "single skin"
"Außenhaut" = "outer skin"
"Innenhaut" = "inner skin"

["coating/climate.csv".heads]
"Data e ora" = "at"
"Temperatura aria" = "air [degC]"
"Umidità" = "humidity"
"Superficie" = "surface"
"Strumento superficie" = "surface_instrument"

["hardness.csv".heads]
"Luogo" = "place"
"Prova" = "attempt"
"Numero" = "number"
"Ora" = "at"
"Durezza Barcol" = "barcol"

["systems/insulation.csv".heads]
"Stromkreis" = "circuit"
"Messung zwischen" = "between"
"Spannung" = "voltage"
"Widerstand" = "resistance"
"über Messbereich" = "beyond"

["systems/insulation.csv".words]
"Leiter gegen Erde" = "live conductors and earth"

["places.csv".heads]
"Ort" = "place"
"Bezeichnung" = "name"
"Art" = "kind"
"Fläche" = "area"
"Sicht" = "visibility"
"Untergrund" = "substrate"
"lackiert" = "painted"
"Bemerkung" = "note"

["places.csv".words.painted]
"i.O." = "yes"
"n.i.O." = "no"

[words]
"ja" = "yes"
"nein" = "no"

[words.visibility]
"hoch" = "high"
"niedrig" = "low"
"""


def in_foreign_words(folder: Path) -> None:
    """Write the heads and words of these tables as such a yard does; columns.toml is left to the caller."""
    for file, heads in HEADS.items():
        sheet = Sheet.read(folder / file)
        names = sheet.names
        for (table, column), words in WORDS.items():
            if table == file:
                at = names.index(column)
                for row in sheet.body:
                    row[at] = words.get(row[at], row[at])
        sheet.rows[0] = [heads.get(name, head) for name, head in zip(names, sheet.rows[0], strict=True)]
        sheet.encoding = "utf-8"
        sheet.write()
