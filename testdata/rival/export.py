"""Writes a scenario of testdata/reference, with its rig, as plain numbers for ida.c:

    python3 export.py bench30 > bench30.txt

Heads are x = p + rho g z, so elevation stands in the stores and the tank's ports alone.
Shut taps and relief valves, which stay shut, are left out: nothing passes them. What ida.c does not know is refused.
"""

import sys
from pathlib import Path

REFERENCE = Path(__file__).resolve().parents[1] / "reference"
sys.path.insert(0, str(REFERENCE))
sys.dont_write_bytecode = True

import rigs


def lines(scenario, rig):
    water, start = scenario["water"], scenario["start"]
    at = {joint: i for i, joint in enumerate(rig.joints)}
    seeps = {fault["seep"]: fault for fault in scenario.get("fault", [])}
    seep = lambda part: f'{seeps[part]["ref_m3s"]!r} {seeps[part]["at_pa"]!r} {seeps[part]["exponent"]!r}'
    yield "fluid " + " ".join(repr(water[k]) for k in ("density_kgm3", "viscosity_pas", "gravity_ms2", "atmosphere_pa"))
    yield f"joints {len(at)} " + " ".join(repr(z) for z in rig.joints.values())
    branches, stores = [], []
    for part in rig.parts.values():
        ends = f"{at[part.from_]} {at[part.to]}" if hasattr(part, "from_") else ""
        p0 = lambda: f'{at[part.at]} {{}} {start["pressure_pa"][part.at]!r}'
        if part.kind == "tube":
            branches.append(f"tube {ends} {part.length!r} {part.bore!r} {part.roughness!r} {part.k!r}")
        elif part.kind == "pump":
            branches.append(f"pump {ends} {part.q0!r} {part.pmax!r} {part.cut_in!r} {part.cut_out!r}")
        elif part.kind == "shutoff" and not part.shut:
            branches.append(f"loss {ends} {part.bore!r} {part.k!r}")
        elif part.kind == "shutoff":
            branches += [f"seep {ends} {seep(part.name)}"] if part.name in seeps else []
        elif part.kind == "check":
            branches.append(f"check {ends} {part.bore!r} {part.k!r} {seep(part.name)}")
        elif part.kind == "tank":
            low, top = part.ports
            stores.append(f'tank {at[low]} {at[top]} {part.capacity / part.height!r} {part.floor!r} {start["tank_m3"][part.name]!r}')
        elif part.kind == "accumulator":
            stores.append("gas " + p0().format(f"{part.volume!r} {part.precharge!r}"))
        elif part.kind in ("elastic", "heater"):
            stores.append("stretch " + p0().format(repr(part.compliance)))
        elif part.kind not in ("fixture", "relief_valve"):
            raise SystemExit(f"{part.name}: no law for a {part.kind}")
    yield from (f"branches {len(branches)}", *branches, f"stores {len(stores)}", *stores, f'until {scenario["until_s"]!r}')


if __name__ == "__main__":
    print("\n".join(lines(*rigs.read_scenario(REFERENCE / f"{sys.argv[1]}.scenario.toml"))))
