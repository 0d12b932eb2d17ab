"""Reads rig files and scenario files: TOML, quantities of a rig as text with a unit.

Nothing is assumed: a value that is not written is refused, because two solvers that each assume something
compare their assumptions.
"""

import re
import tomllib
from pathlib import Path
from types import SimpleNamespace

INCH, POUND, GRAVITY = 0.0254, 0.45359237, 9.80665  # exact by definition
PSI = POUND * GRAVITY / INCH**2
GALLON = 231 * INCH**3

UNITS = {
    "pressure": {"Pa": 1, "kPa": 1e3, "MPa": 1e6, "bar": 1e5, "psi": PSI},
    "length": {"m": 1, "cm": 1e-2, "mm": 1e-3, "in": INCH, "ft": 12 * INCH},
    "volume": {"m3": 1, "m³": 1, "L": 1e-3, "mL": 1e-6, "gal": GALLON, "US gal": GALLON},
    "flow": {"m3/s": 1, "m³/s": 1, "L/s": 1e-3, "L/min": 1e-3 / 60, "mL/min": 1e-6 / 60, "gpm": GALLON / 60},
    "compliance": {"m3/Pa": 1, "m³/Pa": 1},
    "time": {"s": 1, "ms": 1e-3, "min": 60},
    "number": {"": 1},
    "per kelvin": {"": 1, "1/K": 1, "/K": 1},
}

# What is read of each kind of part: key → dimension; "text", "flag" and "list" are taken as they stand.
KINDS = {
    "tube": dict(**{"from": "text", "to": "text"}, length="length", bore="length", roughness="length", k="number"),
    "shutoff": dict(**{"from": "text", "to": "text"}, bore="length", k="number"),
    "check": dict(**{"from": "text", "to": "text"}, bore="length", k="number"),
    "regulator": dict(**{"from": "text", "to": "text"}, set="pressure", droop="pressure", droop_at="flow",
                      bore="length", k="number"),
    "pump": dict(**{"from": "text", "to": "text"}, curve="list", cut_in="pressure", cut_out="pressure"),
    "tank": dict(ports="list", capacity="volume", height="length", floor="length"),
    "accumulator": dict(at="text", volume="volume", precharge="pressure"),
    "elastic": dict(at="text", compliance="compliance"),
    "heater": dict(at="text", volume="volume", compliance="compliance", expansion="per kelvin"),
    "fixture": dict(at="text", rated="flow", rated_at="pressure"),
    "hookup": dict(at="text", static="pressure", droop="pressure", droop_at="flow"),
    "relief_valve": dict(at="text", set="pressure", rated="flow"),
}
# Keys whose absence means something definite, not something assumed.
ABSENT = {"shut": False, "rated": None, "rigid": False, "sealed": False, "check": False, "sense": None, "k": 0.0,
          "cracking": 0.0, "exponent": 1.0, "delay": None, "floor": 0.0}


def quantity(text, dimension):
    """Reads "45 psi" as pascals and so on; plain numbers where the dimension has none."""
    if dimension == "per kelvin" and text == "none":
        return 0.0
    if isinstance(text, (int, float)):
        number, unit = float(text), ""
    else:
        match = re.fullmatch(r"\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)(?:/([0-9]+))?\s*(.*?)\s*", text)
        if not match:
            raise ValueError(f'"{text}" is not a number with a unit')
        number = float(match[1]) / float(match[2] or 1)
        unit = match[3]
    if unit not in UNITS[dimension]:
        raise ValueError(f'"{text}": unit "{unit}" is none of a {dimension}: {", ".join(UNITS[dimension])}')
    return number * UNITS[dimension][unit]


def read_part(kind, table):
    """One part as a namespace of SI numbers. Key "from" becomes attribute from_."""
    part = SimpleNamespace(kind=kind, name=table["name"])
    for key, default in ABSENT.items():
        setattr(part, key, table.get(key, default))
    for key, dimension in KINDS[kind].items():
        if key in table:
            value = table[key] if dimension in ("text", "list") else quantity(table[key], dimension)
        elif key in ABSENT:
            value = ABSENT[key]
        else:
            raise ValueError(f'{kind} "{part.name}": {key} is not written; this solver assumes nothing')
        setattr(part, key + "_" if key == "from" else key, value)
    if kind == "check":
        part.cracking = quantity(part.cracking, "pressure") if part.cracking else 0.0
    if kind == "pump":
        points = [(quantity(p[0], "pressure"), quantity(p[1], "flow")) for p in part.curve]
        if len(points) != 2 or points[0][0] != 0 or points[1][1] != 0:
            raise ValueError(f'pump "{part.name}": only a line from (0, q0) to (pmax, 0) is known here')
        part.q0, part.pmax = points[0][1], points[1][0]
        part.sense = part.sense or part.to
        if not part.sealed or part.delay:
            raise ValueError(f'pump "{part.name}": only a sealed pump without delay is known here')
    if kind == "tube" and not part.rigid:
        raise ValueError(f'tube "{part.name}": only rigid tubes are known here; give elastic lumps')
    if kind == "fixture" and part.rated is None:
        raise ValueError(f'fixture "{part.name}": rated is not written; this solver assumes nothing')
    return part


def read_rig(path):
    """A rig: joints (name → elevation, m) and parts (name → namespace), both in the order of their names."""
    with open(path, "rb") as file:
        tables = tomllib.load(file)
    rig = SimpleNamespace(name=tables["rig"]["name"], joints={}, parts={})
    for kind, rows in tables.items():
        if kind == "rig":
            continue
        for table in rows:
            if kind == "joint":
                rig.joints[table["name"]] = quantity(table["z"], "length")
            elif kind in KINDS:
                rig.parts[table["name"]] = read_part(kind, table)
            else:
                raise ValueError(f'{path}: "{kind}" is not known to this solver')
    rig.joints = dict(sorted(rig.joints.items()))
    rig.parts = dict(sorted(rig.parts.items()))
    for part in rig.parts.values():
        for joint in joints_of(part):
            if joint not in rig.joints:
                raise ValueError(f'{path}: {part.kind} "{part.name}": joint "{joint}" has no elevation')
    return rig


def joints_of(part):
    if part.kind == "tank":
        return part.ports
    return [part.at] if hasattr(part, "at") else [part.from_, part.to]


def read_scenario(path):
    """A scenario as its TOML says it (SI numbers, units in the keys), with its rig read beside it."""
    with open(path, "rb") as file:
        scenario = tomllib.load(file)
    scenario["name"] = Path(path).name.removesuffix(".scenario.toml")
    rig = read_rig(Path(path).parent / scenario["rig"])
    return scenario, rig
