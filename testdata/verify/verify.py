"""Solves the project's rigs by other methods and compares: python3 verify.py [case …]

For each case of cases.toml the library's answer (go run ./testdata/verify) and one found here, from the same file:

                 here                                             the library
  unknowns       pressures alone; every law solved for its flow   heads and flows, a drop as a function of a flow
  storage        at every joint, half of each tube's stretch      gathered at a few joints, the others algebraic
                 at each of its ends
  steady         scipy.optimize.root (Powell's hybrid method)     Newton on a reduced nodal matrix
  time, events   solve_ivp (Radau) with its events                ESDIRK of order 4, steps that end on the event

It exits with 1 if any difference is above its tolerance. Needs Python 3.11, SciPy and Go.
"""

import json
import os
import subprocess
import sys
import time
import tomllib
from pathlib import Path

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # the matrices are small
sys.dont_write_bytecode = True

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import root

import reader
from flows import GRAVITY, Tubes, ways
from laws import gas_compliance

HERE = Path(__file__).resolve().parent

# What differences are borne. Steady answers share every value and differ by arithmetic and by the laws' slopes at
# rest. Times of cycles differ also by where the stretch of tubes stands.
PRESSURE = 0.5  # Pa
FLOW, FLOW_M3S = 2e-7, 1e-9  # of each part, of the largest flow of the case; or m³/s, where that is more
STILL = 1e-9  # m³/s that the library's pressures let gather where nothing should move
CYCLE = 2e-4  # of each rest and each run unless the case bears more, or
CYCLE_S = 2e-4  # s, where that is more
TANK = 1e-6  # m³

ATMOSPHERE = 101325.0  # Pa
LEAST_STORE = 1e-15  # m³/Pa at a joint that stores nothing


class Plumbing:
    """One rig, as it stands: rates of pressures and tank volumes, and their Jacobian."""

    def __init__(self, rig, case):
        self.rig = rig
        self.density, viscosity = reader.water()
        self.stands = reader.lineup(case.get("lineup"))
        self.seeps = [reader.seep(text) for text in case.get("faults", [])]
        self.seeping = {name for name, *_ in self.seeps}
        self.joints = sorted(rig.joints)
        self.number = {joint: i for i, joint in enumerate(self.joints)}
        self.z = np.array([rig.joints[joint] for joint in self.joints])
        self.rho_g = self.density * GRAVITY
        self.tubes = rig.of_kind("tube")
        self.tube_law = Tubes(self.tubes, self.density, viscosity)
        self.tube_ends = np.array([[self.number[t["from"]], self.number[t["to"]]] for t in self.tubes])
        self.tube_static = self.rho_g * (self.z[self.tube_ends[:, 0]] - self.z[self.tube_ends[:, 1]])
        self.into = np.zeros((len(self.joints), len(self.tubes)))
        for i, (a, b) in enumerate(self.tube_ends):
            self.into[a, i], self.into[b, i] = -1, 1
        self.tanks = rig.of_kind("tank")
        self.ports = [(self.number[port], i) for i, tank in enumerate(self.tanks) for port in tank["ports"]]
        self.volumes = np.array([tank["capacity"] / 2 for tank in self.tanks])
        fixed = {j for j, _ in self.ports}
        self.free = np.array([i for i in range(len(self.joints)) if i not in fixed])

    def running(self, pumps, soft, edge=None):
        """Makes the ways through all parts but tubes, while these pumps run."""
        edge = 1e-4 * soft if edge is None else edge
        self.ways = []
        for part in self.rig.parts.values():
            if part.kind != "tube":
                for a, b, law in ways(part, self.stands.get(part.name), self.seeps, self.density, part.name in pumps,
                                       soft, edge):
                    sign = 1 if a == part.joints()[0] else -1
                    a, b = self.number[a], self.number[b] if b else None
                    static = self.rho_g * (self.z[a] - self.z[b]) if b is not None else 0.0
                    self.ways.append((a, b, law, static, part.name, sign))

    def port_pressures(self, p, volumes):
        for j, i in self.ports:
            tank = self.tanks[i]
            level = tank.get("floor", 0.0) + volumes[i] * tank["height"] / tank["capacity"]
            p[j] = max(0.0, self.rho_g * (level - self.z[j]))

    def balance(self, p):
        """Water that gathers at each joint, m³/s, its derivative by each pressure, and the flow through each part."""
        flows = {}
        q, dq = self.tube_law.flow(self.tube_static - p @ self.into)
        gain, slopes = self.into @ q, -(self.into * dq) @ self.into.T
        for i, j, law, static, name, sign in self.ways:
            pb = p[j] if j is not None else 0.0
            through, by_drop, by_pb = law(p[i] - pb + static, pb)
            gain[i] -= through
            slopes[i, i] -= by_drop
            if j is not None:
                gain[j] += through
                slopes[i, j] += by_drop - by_pb
                slopes[j, i] += by_drop
                slopes[j, j] += by_pb - by_drop
            flows[name] = flows.get(name, 0.0) + sign * through
        flows.update(zip((tube.name for tube in self.tubes), q))
        return gain, slopes, flows

    # ---- what stores water ---------------------------------------------------------------------------------

    def stores(self):
        """Stretch at each joint, m³/Pa, and the gas there as (joint, volume, precharge, exponent)."""
        stretch, gas = np.full(len(self.joints), LEAST_STORE), []
        for part in self.rig.parts.values():
            if part.kind == "tube" and not part.get("rigid"):
                for end in ("from", "to"):
                    stretch[self.number[part[end]]] += part["compliance"] / 2
            elif part.kind == "elastic" or part.kind == "heater" and not part.get("tankless"):
                stretch[self.number[part["at"]]] += part["compliance"]
            elif part.kind == "accumulator":
                gas.append((self.number[part["at"]], part["volume"], part["precharge"], part.get("exponent", 1.0)))
            elif part.kind == "filter" and part.get("air"):
                gas.append((self.number[part["to"]], part["air"], 0.0, 1.0))
        return stretch, gas

    def start(self):
        """Every joint at the head of the highest cut-out."""
        heads = [pump["cut_out"] + self.rho_g * self.rig.joints[pump.get("sense", pump["to"])]
                 for pump in self.rig.of_kind("pump")]
        heads += [hookup["static"] + self.rho_g * self.rig.joints[hookup["at"]]
                  for hookup in self.rig.of_kind("hookup") if not heads]
        p = max(heads) - self.rho_g * self.z
        stood = p.copy()
        self.port_pressures(stood, self.volumes)
        for j, _ in self.ports:
            if stood[j] > 0:
                self.stand(p, j, stood[j])
        for hookup in self.rig.of_kind("hookup"):
            if self.stands.get(hookup.name, "off") == "off":
                self.stand(p, self.number[hookup["at"]], 0.0)
        return p

    def stand(self, p, j, pressure):
        """Puts all that is open to a joint, both ways, at rest with it."""
        reached, new = {j}, [j]
        both = [tuple(ends) for ends in self.tube_ends]
        kinds = ("shutoff", "strainer", "filter", "selector", "mixer", "regulator")
        both += [(a, b) for a, b, _, _, name, _ in self.ways if self.rig.parts[name].kind in kinds and name not in self.seeping]
        while new:
            at = new.pop()
            p[at] = pressure + self.rho_g * (self.z[j] - self.z[at])
            for a, b in both:
                if at in (a, b) and not {a, b} <= reached:
                    new += {a, b} - reached
                    reached |= {a, b}


# ---- steady -------------------------------------------------------------------------------------------------


def steady(plumbing, running):
    """Pressures (None where nothing decides one) and flows once storage takes no more.

    Square laws are hard to solve for pressures, being steepest at rest. So a linear term stands beside them that is
    large at first, and is made small by degrees.
    """
    free = plumbing.free
    plumbing.running(running, soft=1.0)
    p = plumbing.start()
    plumbing.port_pressures(p, plumbing.volumes)
    start = p.copy()

    def balance(rows, leak):
        def f(x):
            p[rows] = x * 1e5
            gain, slopes, _ = plumbing.balance(p)
            gain, slopes = gain[rows] - leak * (p - start)[rows], slopes[np.ix_(rows, rows)] - leak * np.eye(len(rows))
            return gain * 1e4, slopes * 1e9
        return f

    for soft in 10.0 ** np.arange(9, 2, -1):
        plumbing.running(running, soft)
        found = root(balance(free, 1e-16), p[free] / 1e5, jac=True, method="hybr", options={"maxfev": 2000})
        p[free] = found.x * 1e5
    settled = decided(plumbing, p)
    rows = free[settled[free]]
    for soft in (1e2, 1e1, 1.0):
        plumbing.running(running, soft)
        found = root(balance(rows, 0.0), p[rows] / 1e5, jac=True, method="hybr", options={"xtol": 1e-14, "maxfev": 2000})
        p[rows] = found.x * 1e5
    left = np.max(np.abs(found.fun)) / 1e4
    if left > 1e-10:
        raise ArithmeticError(f"{left:.1e} m³/s are left over at a joint")
    pressures = {joint: p[i] if settled[i] else None for i, joint in enumerate(plumbing.joints)}
    return pressures, plumbing.balance(p)[2]


def decided(plumbing, p):
    """Which joints are joined, by ways that give, to the water of a tank, to the air or to a source."""
    gain, slopes, _ = plumbing.balance(p)
    settled = np.abs(slopes.sum(axis=1)) > 1e-9 * np.abs(np.diag(slopes)) + 1e-16
    for j, i in plumbing.ports:  # above the water only what falls in
        settled[j] = p[j] > 0 or gain[j] > 1e-9
    gives = np.abs(slopes) > 1e-16
    for _ in plumbing.joints:
        settled |= gives[:, settled].any(axis=1)
    return settled


# ---- through time -------------------------------------------------------------------------------------------


def simulate(plumbing, until):
    """Events (time, pump, what) and the water in each tank at the end."""
    free, nf = plumbing.free, len(plumbing.free)
    stretch, gas = plumbing.stores()
    plumbing.running((), soft=1e5)
    p0 = plumbing.start()
    pumps = [part for part in plumbing.rig.of_kind("pump") if plumbing.stands.get(part.name) != "off"]
    control = {pump.name: "rests" for pump in pumps}
    due = {}  # pump → time at which its delay ends

    def whole(y):
        p = np.empty(len(plumbing.joints))
        p[free] = y[:nf] * 1e5
        plumbing.port_pressures(p, y[nf:])
        return p

    def compliance(p):
        c, slope = stretch.copy(), np.zeros(len(p))
        for j, volume, precharge, exponent in gas:
            if p[j] > precharge:
                first, second = gas_compliance(volume, precharge, ATMOSPHERE, p[j], exponent)
                c[j], slope[j] = c[j] + first, slope[j] + second
        return c, slope

    def rates(t, y):
        p = whole(y)
        gain, _, _ = plumbing.balance(p)
        c, _ = compliance(p)
        into = np.zeros(len(plumbing.tanks))
        for j, i in plumbing.ports:
            into[i] += gain[j]
        return np.concatenate([gain[free] / c[free] / 1e5, into])

    def jacobian(t, y):
        p = whole(y)
        gain, slopes, _ = plumbing.balance(p)
        c, slope = compliance(p)
        matrix = np.zeros((len(y), len(y)))
        matrix[:nf, :nf] = slopes[np.ix_(free, free)] / c[free, None]
        matrix[np.arange(nf), np.arange(nf)] -= gain[free] * slope[free] / c[free] ** 2
        for j, i in plumbing.ports:
            matrix[nf + i, :nf] += slopes[j, free] * 1e5
        return matrix  # a tank's level changes too slowly to matter to the iteration

    def felt(pump, setting):
        j = plumbing.number[pump.get("sense", pump["to"])]
        return lambda y: whole(y)[j] - pump[setting]

    def watches():
        """(crossing, direction, pump, what then)"""
        found = []
        for pump in pumps:
            state = control[pump.name]
            low, high = felt(pump, "cut_in"), felt(pump, "cut_out")
            delayed = pump.get("delay", 0.0) > 0
            if state == "rests":
                found.append((low, -1, pump, "waits" if delayed else "runs"))
            elif state == "waits":
                found.append((low, 1, pump, "rests"))
            elif state == "runs":
                found.append((high, 1, pump, "lingers" if delayed else "rests"))
            else:
                found.append((high, -1, pump, "runs"))
        return found

    def event(crossing, direction):
        def f(t, y):
            return crossing(y) / 1e5
        f.terminal, f.direction = True, direction
        return f

    events, t = [], 0.0
    y = np.concatenate([p0[free] / 1e5, plumbing.volumes])
    turns = lambda state: state in ("runs", "lingers")
    while t < until:
        plumbing.running([name for name, state in control.items() if turns(state)], soft=1e5)
        found = watches()
        end = min([until, *due.values()])
        part = solve_ivp(rates, (t, end), y, method="Radau", rtol=1e-7, atol=1e-8, jac=jacobian, first_step=min(1e-7, (end - t) / 2),
                         events=[event(crossing, direction) for crossing, direction, _, _ in found])
        if part.status < 0:
            raise ArithmeticError(part.message)
        t, y = part.t[-1], part.y[:, -1]
        moves = [(pump, then) for (_, _, pump, then), times in zip(found, part.t_events) if len(times)]
        if part.status == 0:
            moves = [(pump, {"waits": "runs", "lingers": "rests"}[control[pump.name]])
                     for pump in pumps if due.get(pump.name) == end]
        for pump, then in moves:
            before, control[pump.name] = control[pump.name], then
            due.pop(pump.name, None)
            if then in ("waits", "lingers"):
                due[pump.name] = t + pump["delay"]
            if turns(then) != turns(before):
                events.append((t, pump.name, "pump starts" if turns(then) else "pump stops"))
    return events, dict(zip((tank.name for tank in plumbing.tanks), y[nf:]))


# ---- comparing ----------------------------------------------------------------------------------------------


class Tally:
    """Differences by what they are of: how many were looked at, the largest, and those that are not borne."""

    def __init__(self):
        self.worst, self.count, self.bad = {}, {}, []

    def compare(self, what, name, ours, theirs, borne):
        self.count[what] = self.count.get(what, 0) + 1
        off = abs(ours - theirs)
        self.worst[what] = max(self.worst.get(what, 0.0), off / borne)
        if not off <= borne:
            self.bad.append(f"{what} of {name}: {theirs:.9g} by the library, {ours:.9g} here; {borne:.1g} is borne")


def check_steady(case, plumbing, answer, tally):
    pressures, flows = steady(plumbing, case.get("running", []))
    cut_off = answer.get("cut_off", [])
    largest = max(abs(q) for q in flows.values())
    borne = max(FLOW * largest, FLOW_M3S)
    theirs = np.array([answer["pressure_pa"][joint] or 0.0 for joint in plumbing.joints])
    plumbing.running(case.get("running", []), soft=1e4, edge=0.0)
    gain, _, _ = plumbing.balance(theirs)
    for joint, p in pressures.items():
        j = plumbing.number[joint]
        if p is None:  # nothing flows there, so any pressure does at which nothing would
            if joint not in cut_off and answer["pressure_pa"][joint] is not None:
                tally.compare("water at rest", joint, 0.0, gain[j], STILL)
        elif joint in cut_off:
            tally.bad.append(f'"{joint}" has {p:.9g} Pa here; nothing decides it by the library')
        else:
            tally.compare("pressure", joint, p, theirs[j], PRESSURE)
    for part, q in flows.items():
        if plumbing.rig.parts[part].kind not in ("selector", "mixer"):  # more than one flow
            tally.compare("flow", part, q, answer["flow_m3s"][part], borne)


def check_cycle(case, plumbing, answer, tally):
    events, tanks = simulate(plumbing, case["minutes"] * 60)
    words = [(e["part"], e["what"]) for e in answer["events"]]
    if [(part, what) for _, part, what in events] != words:
        tally.bad.append(f"events {[(round(t, 3), part, what) for t, part, what in events]}, by the library {answer['events']}")
        return
    ours, theirs = [0.0] + [t for t, _, _ in events], [0.0] + [e["at_s"] for e in answer["events"]]
    for i, (part, what) in enumerate(words):
        phase = "rest" if what == "pump starts" else "run"
        a, b = ours[i + 1] - ours[i], theirs[i + 1] - theirs[i]
        tally.compare(phase, f"{part}, no. {i // 2 + 1}", a, b, max(case.get("borne", CYCLE) * b, CYCLE_S))
    for tank, volume in tanks.items():
        tally.compare("tank", tank, volume, answer["tank_m3"][tank], TANK)


def main(chosen):
    go = subprocess.run(["go", "run", "./testdata/verify", str(HERE / "cases.toml")], cwd=HERE.parent.parent,
                        capture_output=True, text=True)
    if go.returncode:
        raise SystemExit(go.stderr)
    answers = {answer["name"]: answer for answer in json.loads(go.stdout)}
    cases = tomllib.loads((HERE / "cases.toml").read_text())["case"]
    failed, compared = 0, 0
    for case in cases:
        if chosen and not any(word in case["name"] for word in chosen):
            continue
        answer, tally, began = answers[case["name"]], Tally(), time.process_time()
        rig = reader.Rig(HERE / case["rig"], answer["assumed"])
        plumbing = Plumbing(rig, case)
        (check_cycle if "minutes" in case else check_steady)(case, plumbing, answer, tally)
        compared += sum(tally.count.values())
        failed += bool(tally.bad)
        shares = ", ".join(f"{tally.count[what]} {what}s to {share:.1e}" for what, share in tally.worst.items())
        print(f"{'FAIL' if tally.bad else 'ok  '} {case['name']}: {shares} of what is borne ({time.process_time() - began:.1f} s)", flush=True)
        for line in tally.bad:
            print("     " + line)
    print(f"{compared} figures compared; borne: pressure {PRESSURE:g} Pa, flow {FLOW:g} of the largest, rest and run "
          f"{CYCLE:g} or {CYCLE_S:g} s, tank {TANK:g} m³")
    if failed or not compared:
        raise SystemExit(f"{failed} of {len(cases)} cases differ")


if __name__ == "__main__":
    main(sys.argv[1:])
