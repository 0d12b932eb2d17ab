"""Makes the reference records again: python3 make.py [scenario …]

Needs Python 3.11 or later and SciPy: apt-get install python3-scipy

For each NAME.scenario.toml here it writes NAME.record.json: the record by Radau IIA at a relative tolerance of
1e-10, and how far two other solutions lie from it (the same at ten times the tolerance, and BDF).
"""

import os
import sys
import time

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the matrices are small
sys.dont_write_bytecode = True

import json
from pathlib import Path

import numpy
import scipy

import rigs
from simulate import Simulation

HERE = Path(__file__).resolve().parent
METHOD, RTOL = "Radau", 1e-10
OTHERS = [("Radau", 1e-9), ("BDF", 1e-10)]
DIGITS = 13  # significant digits written


def simulate(path, method, rtol):
    scenario, rig = rigs.read_scenario(path)
    began = time.time()
    simulation = Simulation(scenario, rig, method, rtol)
    record = simulation.run()
    print(f"  {method} at {rtol:g}: {simulation.steps} steps, {len(record['events'])} events, "
          f"{time.time() - began:.0f} s", flush=True)
    return scenario, record, simulation.steps


def spread(one, other):
    """The largest differences between two records that must agree event by event."""
    words = lambda record: [(event["part"], event["what"]) for event in record["events"]]
    if words(one) != words(other):
        raise SystemExit("the two solutions do not have the same events")
    largest = lambda pairs: max((abs(a - b) for a, b in pairs), default=0.0)
    over = lambda field: largest((a[field][k], b[field][k]) for a, b in zip(one["samples"], other["samples"])
                                 for k in a[field])
    return {
        "event_s": largest((a["at_s"], b["at_s"]) for a, b in zip(one["events"], other["events"])),
        "pressure_pa": over("pressure_pa"),
        "flow_m3s": over("flow_m3s"),
        "tank_m3": largest((one["tank_m3"][k], other["tank_m3"][k]) for k in one["tank_m3"]),
    }


def written(value):
    """A copy with floats at DIGITS significant digits; what round-off left of nothing is nothing."""
    if isinstance(value, dict):
        return {k: written(v) for k, v in value.items()}
    if isinstance(value, list):
        return [written(v) for v in value]
    if isinstance(value, float):
        return 0.0 if abs(value) < 1e-20 else float(f"{value:.{DIGITS}g}")
    return value


def cycle(events):
    """Number of pump starts, mean rest and mean run, for the eye."""
    starts = [e["at_s"] for e in events if e["what"] == "pump starts"]
    stops = [e["at_s"] for e in events if e["what"] == "pump stops"]
    runs = [stop - start for start, stop in zip(starts, stops)]
    rests = [start - stop for start, stop in zip(starts[1:], stops)]
    mean = lambda values: sum(values) / len(values) if values else None
    return {"pump_starts": len(starts), "mean_rest_s": mean(rests), "mean_run_s": mean(runs)}


def layout(record):
    """JSON with one event and one sample a line."""
    lines = []
    for key, value in record.items():
        if key in ("events", "samples"):
            rows = ",\n  ".join(json.dumps(row) for row in value)
            lines.append(f' {json.dumps(key)}: [\n  {rows}\n ]' if value else f" {json.dumps(key)}: []")
        else:
            lines.append(f" {json.dumps(key)}: {json.dumps(value)}")
    return "{\n" + ",\n".join(lines) + "\n}\n"


def make(path):
    name = path.name.removesuffix(".scenario.toml")
    print(name, flush=True)
    scenario, record, steps = simulate(path, METHOD, RTOL)
    spreads = []
    for method, rtol in OTHERS:
        _, other, _ = simulate(path, method, rtol)
        spreads.append({"method": method, "rtol": rtol, **spread(record, other)})
        print("    " + ", ".join(f"{k} {v:.1e}" for k, v in spreads[-1].items() if k not in ("method", "rtol")))
    head = {
        "scenario": path.name,
        "rig": scenario["rig"],
        "solver": {"method": METHOD, "rtol": RTOL, "steps": steps, "scipy": scipy.__version__,
                   "numpy": numpy.__version__},
        "spread": spreads,
        "cycle": cycle(record["events"]),
    }
    text = layout(written({**head, **record}))
    path.with_name(f"{name}.record.json").write_text(text)
    print(f"  {head['cycle']}, closure {record['ledger']['closure_m3']:.1e} m³, {len(text)} bytes", flush=True)


if __name__ == "__main__":
    for name in sys.argv[1:] or sorted(p.name.removesuffix(".scenario.toml") for p in HERE.glob("*.scenario.toml")):
        make(HERE / f"{name}.scenario.toml")
