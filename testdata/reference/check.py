"""Sets this solver beside closed forms: python3 check.py

One store at the outlet of a pump leaks to the air until the pump starts. Store and leak have closed forms:

    gas, q = G·p           t = (C/G)·[F(P1) − F(P2)],  F(P) = ln((P − pa)/P)/pa² + 1/(pa·P)
    gas, q = k·√p          t = (C/k)·[H(P1) − H(P2)],  H(P) = √(P − pa)/(pa·P) + pa^(−3/2)·atan(√((P − pa)/pa))
    stretch, q = G·p       t = (Cw/G)·ln(p1/p2)
    stretch, q = k·√p      t = (2·Cw/k)·(√p1 − √p2)

with P = p + pa absolute, C = (p0 + pa)·V0. The times below were evaluated by quadrature in 30 digits.
"""

import os
import sys

os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.dont_write_bytecode = True

from types import SimpleNamespace

from simulate import Simulation

WATER = {"density_kgm3": 998.2, "viscosity_pas": 0.001002, "gravity_ms2": 9.80665, "atmosphere_pa": 101325.0}

# name, store (accumulator: volume m³, precharge Pa; elastic: m³/Pa), start Pa, cut-in Pa, leak's exponent,
# leak's flow at 1 Pa, time s
CASES = [
    ("gas A, linear", ("accumulator", 0.71e-3, 200e3), 380e3, 240e3, 1.0, 1e-13, 6143.004293),
    ("gas B, linear", ("accumulator", 2.0e-3, 138e3), 310e3, 207e3, 1.0, 5e-14, 31079.48818),
    ("gas C, linear", ("accumulator", 8.0e-3, 250e3), 345e3, 250e3, 1.0, 2e-12, 2923.774366),
    ("gas A, orifice", ("accumulator", 0.71e-3, 200e3), 380e3, 240e3, 0.5, 2.179655140e-10, 1532.031220),
    ("gas B, orifice", ("accumulator", 2.0e-3, 138e3), 310e3, 207e3, 0.5, 8.577997647e-10, 904.5568954),
    ("gas C, orifice", ("accumulator", 8.0e-3, 250e3), 345e3, 250e3, 0.5, 5.712805810e-9, 551.7628057),
    ("stretch A, linear", ("elastic", 2.0e-10), 380e3, 240e3, 1.0, 1e-13, 919.0646588),
    ("stretch B, linear", ("elastic", 5.0e-11), 310e3, 207e3, 1.0, 4e-14, 504.8168803),
    ("stretch C, linear", ("elastic", 1.5e-10), 414e3, 276e3, 1.0, 2e-12, 30.40988311),
    ("stretch A, orifice", ("elastic", 2.0e-10), 380e3, 240e3, 0.5, 2.179655140e-10, 232.2265563),
    ("stretch B, orifice", ("elastic", 5.0e-11), 310e3, 207e3, 0.5, 5.361248529e-11, 189.8884357),
    ("stretch C, orifice", ("elastic", 1.5e-10), 414e3, 276e3, 0.5, 2.056610092e-9, 17.22319122),
]
PRINTED = 2e-9  # relative: ten digits printed, and k printed to ten


def rest(store, start, cut_in, exponent, flow_at_1):
    """Time at which the pump starts."""
    part = SimpleNamespace
    if store[0] == "accumulator":
        held = part(kind="accumulator", name="store", at="out", volume=store[1], precharge=store[2], exponent=1.0)
    else:
        held = part(kind="elastic", name="store", at="out", compliance=store[1])
    parts = [
        part(kind="tank", name="tank", ports=["in"], capacity=1.0, height=0.5, floor=0.0),
        part(kind="pump", name="pump", from_="in", to="out", q0=1e-4, pmax=1e6, cut_in=cut_in, cut_out=9e5,
             sense="out", sealed=True),
        part(kind="fixture", name="tap", at="out", rated=1e-4, rated_at=3e5),
        held,
    ]
    rig = part(name="closed form", joints={"in": 0.0, "out": 0.0}, parts={p.name: p for p in parts})
    scenario = {
        "water": WATER, "lineup": {}, "samples_s": [], "flows": [], "until_s": 4e4,
        "fault": [{"seep": "tap", "ref_m3s": flow_at_1, "at_pa": 1.0, "exponent": exponent}],
        "start": {"tank_m3": {"tank": 0.5}, "pressure_pa": {"out": start}},
    }
    simulation = Simulation(scenario, rig)
    simulation.mode = simulation.first_mode()
    while not any(event["what"] == "pump starts" for event in simulation.events):
        simulation.phase(simulation.settle(), scenario["until_s"])
    return simulation.t


if __name__ == "__main__":
    worst = 0.0
    for name, store, start, cut_in, exponent, flow_at_1, want in CASES:
        got = rest(store, start, cut_in, exponent, flow_at_1)
        worst = max(worst, abs(got / want - 1))
        print(f"{name:20} {got:.10g} s, closed form {want:.10g} s, relative {got / want - 1:+.1e}")
    if worst > PRINTED:
        raise SystemExit(f"off by {worst:.1e}")
