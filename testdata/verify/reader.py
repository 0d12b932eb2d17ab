"""Reads the project's rig files: TOML, quantities as text with a unit, owners' words for parts.

What a file leaves open is a guess of the library's, and comes from its answer ("assumed"); what the file tells is
read here. The bore of a tube without one is looked up in ../published/tube_sizes.csv and must be what the library took.
"""

import csv
import re
import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.append(str(HERE.parent / "reference"))

from rigs import UNITS, quantity  # the parser of units, shared with the reference records

OWNERS_WORDS = {"line": "tube", "valve": "shutoff", "faucet": "fixture"}
TWO_ENDED = ("tube", "shutoff", "check", "regulator", "strainer", "filter", "pump", "hand_pump")

# Dimension of each key whose value is a quantity.
DIMENSIONS = {
    "pressure": "cut_in cut_out cracking set droop drop static precharge rated_at bypass.opens bypass.full",
    "length": "z height floor length bore roughness",
    "volume": "capacity volume air stroke",
    "flow": "rated droop_at",
    "compliance": "compliance",
    "time": "delay",
    "number": "k cv exponent",
}
DIMENSION = {key: dimension for dimension, keys in DIMENSIONS.items() for key in keys.split()}


def dimension(kind, key):
    """Filters and strainers tell their drop "at" a flow; elsewhere "at" is a joint."""
    return "flow" if key == "at" and kind in ("strainer", "filter") else DIMENSION.get(key)


def si(kind, key, value):
    """A value as a number in SI units; "30 psi ± 4" without its tolerance; names, lists and flags as they stand."""
    if key == "curve":
        return [[quantity(point[0], "pressure"), quantity(point[1], "flow")] for point in value]
    wanted = dimension(kind, key)
    if wanted is None:
        return value
    if isinstance(value, str):
        value = value.split("±")[0].strip()
    return quantity(value, wanted)


class Part:
    """One part: its kind, its name, and its values by key in SI units."""

    def __init__(self, kind, table, stand_ins):
        self.kind, self.name = kind, table["name"]
        flat = {}
        for key, value in table.items():
            if isinstance(value, dict):
                flat.update({f"{key}.{inner}": v for inner, v in value.items()})
            else:
                flat[key] = value
        told = {key: si(kind, key, value) for key, value in flat.items()}
        self.told = set(told)
        self.values = {**stand_ins.get(self.name, {}), **told}

    def __getitem__(self, key):
        if key not in self.values:
            raise KeyError(f'{self.kind} "{self.name}": {key} is neither told nor assumed')
        return self.values[key]

    def get(self, key, default=None):
        return self.values.get(key, default)

    def joints(self):
        if self.kind in TWO_ENDED:
            return [self["from"], self["to"]]
        if self.kind == "mixer":
            return [self["hot"], self["cold"], self["spout"]]
        if self.kind == "waste_tank":
            return []
        return self["ports"] if "ports" in self.values else [self["at"]]


class Rig:
    """joints: name → elevation, m. parts: name → Part."""

    def __init__(self, path, assumed):
        stand_ins = {}
        for row in assumed:
            stand_ins.setdefault(row["part"], {})[row["field"]] = row["value"]
        with open(path, "rb") as file:
            tables = tomllib.load(file)
        self.joints, self.parts = {}, {}
        for kind, rows in tables.items():
            kind = OWNERS_WORDS.get(kind, kind)
            if kind == "rig":
                continue
            for table in rows:
                if kind == "joint":
                    if "z" in table:
                        self.joints[table["name"]] = quantity(table["z"], "length")
                else:
                    self.parts[table["name"]] = Part(kind, table, stand_ins)
        for part in self.parts.values():
            for joint in part.joints():
                if joint not in self.joints:
                    self.joints[joint] = stand_ins[joint]["z"]
            if part.kind == "tube" and "bore" not in part.told:
                looked_up = bore(part.get("material", "pex"), part["size"])
                if looked_up is not None and abs(looked_up / part["bore"] - 1) > 1e-9:
                    raise ValueError(f'tube "{part.name}": the library took a bore of {part["bore"]} m, '
                                     f"the table has {looked_up} m")

    def of_kind(self, *kinds):
        return [part for part in self.parts.values() if part.kind in kinds]


def bore(material, size):
    """Inside diameter, m, of a trade size; None of what the table does not hold (hose is sold by its bore)."""
    with open(HERE.parent / "published" / "tube_sizes.csv", newline="") as file:
        for row in csv.DictReader(file):
            if row["material"].lower().startswith(material) and row["nominal_size_in"] + " in" == size:
                return float(row["inside_diameter_in"]) * 0.0254
    return None


def water():
    """Density, kg/m³, and viscosity, Pa·s, at 20 °C and one atmosphere, from ../published/water_properties.csv."""
    with open(HERE.parent / "published" / "water_properties.csv", newline="") as file:
        for row in csv.DictReader(file):
            if row["temperature_C"] == "20" and row["pressure_MPa"] == "0.101325":
                return float(row["density_kg_m3"]), float(row["viscosity_Pa_s"])
    raise ValueError("the table has no water of 20 °C")


def seep(text):
    """Reads "fill valve: 55 mL/min at 45 psi, orifice": name, pair of ports or None, ref, at, exponent."""
    match = re.fullmatch(r"(?P<name>[^:]*?)(?: (?P<a>\S+)-\"(?P<b>[^\"]+)\")?: (?P<ref>.*?) at (?P<at>[^,]*)(?:, (?P<gap>.*))?", text)
    if not match:
        raise ValueError(f'"{text}" is no seep')
    exponent = {"orifice": 0.5, "film": 1.0, "crack": 1.5}[match["gap"] or "orifice"]
    pair = {match["a"], match["b"]} if match["a"] else None
    return match["name"], pair, quantity(match["ref"], "flow"), quantity(match["at"], "pressure"), exponent


def lineup(text):
    """Reads "fill valve=shut, basin tap=30 %": name → word or opening."""
    stands = {}
    for clause in filter(None, (piece.strip() for piece in (text or "").split(","))):
        name, _, setting = clause.partition("=")
        setting = setting.strip()
        if setting.endswith("%"):
            stands[name.strip()] = float(setting[:-1]) / 100
        else:
            stands[name.strip()] = {"open": 1.0, "shut": 0.0}.get(setting, setting)
    return stands
