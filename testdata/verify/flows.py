"""What flows through each part, as a function of the pressures at its ends.

Everywhere else in this project a path is a drop as a function of a flow. Here it is the other way round, each law
solved for the flow, so that one-way parts, regulators and pumps are functions and not states.

A way is (a, b, law): law(dp, pb) returns the flow from joint a to joint b, m³/s, and its derivatives by the drop of
pressure along it (static head included) and by the gauge pressure at b; b is None where it ends in the air.
"""

import math

import numpy as np
from scipy.interpolate import PchipInterpolator

import laws

GRAVITY = 9.80665
IDEAL = 1e3  # Pa·s/m³ of a regulator without droop: 0.1 Pa at 1e-4 m³/s


def square(kappa, lin):
    """Δp = lin·q + κ·q², solved for q ≥ 0."""
    def law(dp):
        root = math.sqrt(lin * lin + 4 * kappa * dp)
        return 2 * dp / (lin + root), 1 / root
    return law


def both_ways(law):
    def odd(dp, pb):
        q, slope = law(abs(dp))
        return math.copysign(q, dp), slope, 0.0
    return odd


def one_way(forward, edge, cracking=0.0, back=None):
    """Forward beyond a cracking drop, back by the law of a seep, or not at all.

    Within edge (Pa) of the cracking drop the slope grows from nothing to the law's own, lest an iteration jump from
    side to side there.
    """
    def law(dp, pb):
        beyond = dp - cracking
        if beyond >= edge:
            q, slope = forward(beyond)
            return q, slope, 0.0
        if beyond > -edge and edge > 0:
            q, slope = forward(edge)  # a cubic from (−edge, 0, level) to (edge, q, slope)
            s, width = (beyond + edge) / (2 * edge), 2 * edge
            bend, turn = 3 * q - slope * width, slope * width - 2 * q
            return s * s * (bend + turn * s), s * (2 * bend + 3 * turn * s) / width, 0.0
        if dp < 0 and back is not None:
            q, slope = back(-dp)
            return -q, slope, 0.0
        return 0.0, 0.0, 0.0
    return law


def seep(ref, at, exponent):
    """q = ref·(Δp/at)ⁿ; straight below 1 Pa."""
    def law(dp):
        if dp < 1.0:
            slope = ref * (1.0 / at) ** exponent
            return slope * dp, slope
        q = ref * (dp / at) ** exponent
        return q, exponent * q / dp
    return law


def held(set_, droop, wide, check):
    """A regulator: q = (set − p)/droop at its outlet, no more than passes it wide open."""
    def law(dp, pb):
        if dp < 0:
            if check:
                return 0.0, 0.0, 0.0
            q, slope = wide(-dp)
            return -q, slope, 0.0
        regulated, (most, slope) = max(0.0, (set_ - pb) / droop), wide(dp)
        if most < regulated:
            return most, slope, 0.0
        return regulated, 0.0, -1 / droop if regulated > 0 else 0.0
    return law


class Curve:
    """A running pump: rise as a monotone cubic of flow (Fritsch & Butland 1984), solved for the flow.

    Its end slopes are at least half those of the last pieces, so that it can be followed past its ends.
    """

    def __init__(self, points):
        rise, flow = np.array(points)[::-1].T
        slopes = np.full(2, (rise[1] - rise[0]) / (flow[1] - flow[0]))
        if len(points) > 2:
            slopes = PchipInterpolator(flow, rise).derivative()(flow)
            for end, inner in ((0, 1), (-1, -2)):
                slopes[end] = min(slopes[end], (rise[inner] - rise[end]) / (flow[inner] - flow[end]) / 2)
        self.flow, self.rise, self.slopes = list(flow), list(rise), list(slopes)

    def law(self, dp, pb):
        up = -dp
        if up >= self.rise[0]:
            return 0.0, 0.0, 0.0
        if up <= self.rise[-1]:
            return self.flow[-1] + (up - self.rise[-1]) / self.slopes[-1], -1 / self.slopes[-1], 0.0
        i = next(i for i in range(1, len(self.rise)) if self.rise[i] < up)
        width, fall = self.flow[i] - self.flow[i - 1], self.rise[i] - self.rise[i - 1]
        m, n = self.slopes[i - 1] * width, self.slopes[i] * width
        bend, turn = 3 * fall - 2 * m - n, m + n - 2 * fall
        low, high, s = 0.0, 1.0, 0.5
        for _ in range(200):
            miss = self.rise[i - 1] + s * (m + s * (bend + s * turn)) - up  # falls as s grows
            low, high = (s, high) if miss > 0 else (low, s)
            slope = m + s * (2 * bend + 3 * turn * s)
            next_ = s - miss / slope if slope < 0 else low
            if not low < next_ < high:
                next_ = (low + high) / 2
            if abs(next_ - s) <= 1e-15:
                break
            s = next_
        return self.flow[i - 1] + s * width, -width / slope, 0.0


class Tubes:
    """All tubes at once: Δp = friction + K, solved for the flow by Newton's iteration within a bracket."""

    def __init__(self, tubes, density, viscosity):
        column = lambda key: np.array([float(tube.get(key, 0.0)) for tube in tubes])
        bore, length, roughness = column("bore"), column("length"), column("roughness")
        self.friction = laws.Tubes(length, bore, roughness, density, viscosity)
        self.kappa = laws.loss(column("k"), bore, density)
        self.laminar = self.friction.scale * 64 * self.friction.reynolds_per_flow  # Pa·s/m³ at rest
        self.last = None

    def flow(self, dp):
        """Flows and their slopes for the drops dp."""
        size = np.abs(dp)
        low, high = np.zeros_like(size), size / self.laminar  # turbulence and K only hinder
        q = high.copy() if self.last is None else np.clip(self.last, low, high)
        for _ in range(100):
            drop, slope = self.friction.drop(q)
            drop, slope = drop + self.kappa * q * q, slope + 2 * self.kappa * q
            miss = drop - size
            high, low = np.where(miss > 0, q, high), np.where(miss > 0, low, q)
            step = miss / slope
            if np.all(np.abs(step) <= 1e-13 * q + 1e-30):
                break
            q = q - step
            q = np.where((q < low) | (q > high), (low + high) / 2, q)
        self.last = q
        return np.sign(dp) * q, 1 / slope


def ways(part, stands, seeps, density, running, soft, edge):
    """The ways through a part but a tube, as it stands, with what seeps there.

    soft (Pa·s/m³) is a linear term beside square laws, lest their slope at rest be infinite; edge (Pa) is where
    one-way laws begin, see one_way.
    """
    leaks = [(pair, seep(*rest)) for name, pair, *rest in seeps if name == part.name]
    leak = leaks[0][1] if leaks else None
    valve = lambda opening=1.0: square(laws.loss(part["k"], part["bore"], density) / opening**2, soft)
    across = lambda law: [(part["from"], part["to"], law)]
    out = lambda law: [(part["at"], None, one_way(law, edge))] if law else []

    if part.kind == "shutoff":
        opening = stands if stands is not None else 0.0 if part.get("shut") else 1.0
        law = valve(opening) if opening else leak
        return across(both_ways(law)) if law else []
    if part.kind == "check":
        return across(one_way(valve(), edge, part.get("cracking", 0.0), leak))
    if part.kind == "regulator":
        droop = part["droop"] / part["droop_at"] if part.get("droop") else IDEAL
        return across(held(part["set"], droop, valve(), part.get("check", False)))
    if part.kind in ("strainer", "filter"):
        return across(both_ways(square(part["drop"] / part["at"] ** 2, soft)))
    if part.kind == "selector":
        positions = {position["name"]: position["joins"] for position in part["positions"]}
        joined = positions[stands or next(iter(positions))]
        return [(a, b, both_ways(valve())) for a, b in joined] + [(*sorted(pair), both_ways(law)) for pair, law in leaks]
    if part.kind == "mixer":
        return [(part[side], part["spout"], both_ways(valve())) for side in ("hot", "cold") if stands in (1.0, side)]
    if part.kind in ("fixture", "appliance"):
        return out(square(part["rated_at"] / (stands * part["rated"]) ** 2, soft) if stands else leak)
    if part.kind == "drain":
        return out(valve(stands) if stands else leak)
    if part.kind == "relief_valve":
        return [(part["at"], None, one_way(square(0.1 * part["set"] / part["rated"] ** 2, soft), edge, part["set"]))]
    if part.kind == "hookup":
        if stands == "on":
            static, lin = part["static"], part["droop"] / part["droop_at"]
            return [(part["at"], None, lambda dp, pb: ((dp - static) / lin, 1 / lin, 0.0))]
        return out(square(0.0, soft))  # off, and open to the air
    if part.kind == "pump":
        found = []
        if running:
            found += across(Curve(part["curve"]).law)
        elif not part.get("sealed"):
            gpm = 231 * 0.0254**3 / 60
            found += across(one_way(square(part["cracking"] / gpm**2, soft), edge, part["cracking"], leak))
        elif leak:
            found += across(one_way(None, 0.0, math.inf, leak))
        if part.get("bypass.outside"):
            spring = (part["bypass.full"] - part["bypass.opens"]) / part["curve"][0][1]
            found.append((part["to"], part["from"], one_way(square(0.0, spring), edge, part["bypass.opens"])))
        return found
    if part.kind in ("tank", "waste_tank", "accumulator", "heater", "elastic", "hand_pump", "vacuum_breaker"):
        return []
    raise ValueError(f'{part.kind} "{part.name}" is not known here')
