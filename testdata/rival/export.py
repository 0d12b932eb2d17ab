"""Writes the model of testdata/rigs/bench30.numbers.json as plain numbers for ida.c:

    python3 export.py > bench30.txt

Heads are x = p + rho g z, so elevation stands in the stores and the tank's ports alone.
Shut taps are left out: nothing passes them.
"""

import json
from pathlib import Path

data = json.loads((Path(__file__).resolve().parents[1] / "rigs" / "bench30.numbers.json").read_text())
fluid = data["fluid"]
at = {joint["id"]: i for i, joint in enumerate(data["joints"])}
print("fluid", *(repr(fluid[k]) for k in ("rho", "mu", "g", "p_atm")))
print("joints", len(at), *(repr(joint["z"]) for joint in data["joints"]))

branches = []
for part in data["parts"]:
    kind = part["type"]
    if kind == "fixture":
        assert all(opening == 0 for _, opening in part["schedule"])
        continue
    ends = f'{at[part["a"]]} {at[part["b"]]}'
    if kind == "tube":
        branches.append(f'tube {ends} {part["L"]!r} {part["D"]!r} {part["eps"]!r} {part["K"]!r}')
    elif kind == "pump":
        branches.append(f'pump {ends} {part["q0"]!r} {part["pmax"]!r} {part["cut_in"]!r} {part["cut_out"]!r}')
    elif kind == "shutoff" and part["opening"] > 0:
        branches.append(f'loss {ends} {part["D"]!r} {part["K"] / part["opening"] ** 2!r}')
    elif kind == "shutoff":
        seep = part["seep"]
        branches.append(f'seep {ends} {seep["Qref"]!r} {seep["pref"]!r} {seep["n"]!r}')
    elif kind == "check":
        seep = part["seep"]
        branches.append(f'check {ends} {part["D"]!r} {part["K"]!r} {seep["Qref"]!r} {seep["pref"]!r} {seep["n"]!r}')
    else:
        raise SystemExit(f"{part['id']}: no law for a {kind}")
print("branches", len(branches))
print("\n".join(branches))

print("stores", len(data["stores"]))
for store in data["stores"]:
    if store["type"] == "tank":
        low, top = (at[port] for port in store["ports"])
        print("tank", low, top, *(repr(store[k]) for k in ("A", "z0", "V0")))
    elif store["type"] == "accumulator":
        print("gas", at[store["joint"]], *(repr(store[k]) for k in ("V", "precharge", "p0")))
    else:
        print("stretch", at[store["joint"]], repr(store["C"]), repr(store["p0"]))
print("until", repr(data["run"]["t_end"]))
