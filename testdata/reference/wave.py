"""Makes wave.json: the wave in one tube whose tap is shut, by another method: python3 wave.py

    ρ/A·∂q/∂t + ∂p/∂x + d(q)/L = 0,   A/(ρa²)·∂p/∂t + ∂q/∂x = 0

Pressures stand at N + 1 nodes, flows between them (central differences, second order), and an explicit
Runge–Kutta method of order 8 carries both through time. The tube begins at a main that holds its pressure. At its other
end a tap lets out q = τ·√(p/κ), with τ falling in a straight line from 1 to 0; in the second case there
is gas beside it that follows P·Vⁿ = constant. Three grids, each twice as fine as the one before; what is written is
extrapolated from the two finest, and `spread` says by how much that differs from the finest.
"""

import json
import os
import sys
from pathlib import Path

os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.dont_write_bytecode = True

import numpy as np
from scipy.integrate import solve_ivp

import laws

CASE = dict(length_m=6.0, bore_m=0.012, roughness_m=1.5e-6, speed_m_s=400.0, density_kg_m3=998.0, viscosity_pa_s=1.0e-3,
            main_pa=300e3, rated_m3_s=1.2e-4, rated_at_pa=250e3, shut_s=0.04, until_s=0.15)
GAS = dict(gas_m3=20e-6, atmosphere_pa=101325.0, exponent=1.4)
GRIDS = [150, 300, 600]
SAMPLES = 60


def steady(c, tube, kappa):
    """Flow at which the tube and the open tap together lose what the main gives."""
    q = 1e-4
    for _ in range(60):
        d, slope = tube.drop(np.array([q]))
        q -= (d[0] + kappa * q * q - c["main_pa"]) / (slope[0] + 2 * kappa * q)
    return q


def simulate(c, n, gas=None):
    area = np.pi / 4 * c["bore_m"] ** 2
    dx = c["length_m"] / n
    one = laws.Tubes(np.full(n, dx), np.full(n, c["bore_m"]), np.full(n, c["roughness_m"]), c["density_kg_m3"], c["viscosity_pa_s"])
    whole = laws.Tubes(np.array([c["length_m"]]), np.array([c["bore_m"]]), np.array([c["roughness_m"]]), c["density_kg_m3"], c["viscosity_pa_s"])
    kappa = c["rated_at_pa"] / c["rated_m3_s"] ** 2
    inertia = c["density_kg_m3"] * dx / area
    stretch = np.full(n, area * dx / (c["density_kg_m3"] * c["speed_m_s"] ** 2))  # of nodes 1 … N
    stretch[-1] /= 2
    q0 = steady(c, whole, kappa)
    p0 = c["main_pa"] - whole.drop(np.array([q0]))[0][0] * np.arange(1, n + 1) / n
    if gas:
        absolute = p0[-1] + gas["atmosphere_pa"]
        # the volume is that at atmospheric pressure, squeezed slowly (n = 1) to the start's
        start = gas["gas_m3"] * gas["atmosphere_pa"] / absolute
        constant = absolute * start ** gas["exponent"]

    def rates(t, y):
        p, q = y[:n], y[n:]
        tau = max(0.0, 1 - t / c["shut_s"])
        before = np.concatenate(([c["main_pa"]], p[:-1]))
        dq = (before - p - one.drop(q)[0]) / inertia
        out = np.append(q[1:], tau * np.sign(p[-1]) * np.sqrt(abs(p[-1]) / kappa))
        give = stretch
        if gas:
            absolute = max(p[-1] + gas["atmosphere_pa"], 1.0)  # below it only in steps that are refused
            volume = (constant / absolute) ** (1 / gas["exponent"])
            give = stretch.copy()
            give[-1] += volume / (gas["exponent"] * absolute)
        return np.concatenate(((q - out) / give, dq))

    every = c["until_s"] / SAMPLES
    at = every * (np.arange(SAMPLES) + 0.5)  # between the bends that run to and fro, which a grid smears
    y, values = np.concatenate((p0, np.full(n, q0))), []
    for a, b in zip(np.append(0, at[:-1]), at):
        for a, b in [(a, c["shut_s"]), (c["shut_s"], b)] if a < c["shut_s"] < b else [(a, b)]:  # no step over the bend
            y = solve_ivp(rates, (a, b), y, method="DOP853", rtol=1e-8, atol=np.concatenate((np.full(n, 1e-2), np.full(n, 1e-12)))).y[:, -1]
        values.append((y[n - 1], 1.5 * y[n] - 0.5 * y[n + 1]))
    return at, np.array(values)


def extrapolated(c, gas=None):
    results = []
    for n in GRIDS:
        at, values = simulate(c, n, gas)
        results.append(values)
        print(f"  {n} reaches: {values[:, 0].min():.1f} to {values[:, 0].max():.1f} Pa", flush=True)
    coarse, middle, fine = results
    best = fine + (fine - middle) / 3
    return {
        "at_s": [float(f"{t:.13g}") for t in at],
        "end_pa": [float(f"{p:.9g}") for p in best[:, 0]],
        "main_m3_s": [float(f"{q:.9g}") for q in best[:, 1]],
        "spread": {"end_pa": float(f"{np.abs(best - fine)[:, 0].max():.3g}"), "main_m3_s": float(f"{np.abs(best - fine)[:, 1].max():.3g}"),
                   "ratio": float(f"{(np.abs(middle - coarse)[:, 0].max() / np.abs(fine - middle)[:, 0].max()):.3g}")},
    }


def main():
    record = {"tube": CASE, "gas": GAS}
    for name, gas in (("plain", None), ("cushioned", GAS)):
        print(name, flush=True)
        record[name] = extrapolated(CASE, gas)
    text = json.dumps(record, indent=1)
    Path(__file__).resolve().with_name("wave.json").write_text(text + "\n")


main()
