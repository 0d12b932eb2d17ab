"""A rig through time.

Between two events the mode is fixed, and the plumbing is a set of differential equations for

    p_j   at each joint j with stores     dp/dt = (inflow + expansion) / compliance
    V_i   in each tank                    dV/dt = inflow at its ports, or 0 while it is full and spills
    ∫q    through each counted part       for the ledger

whose right sides come from plumbing.Plumbing. SciPy's integrators carry them (Radau IIA of order 5, or BDF as
the second opinion). Each mode has guards, quantities that are positive as long as it lasts; when one falls
below zero inside a step, the step is integrated again from its beginning to a trial time, and Brent's method
moves that time until the guard is zero.
"""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import BDF, Radau
from scipy.optimize import brentq

import laws
from plumbing import Plumbing, path_of

METHODS = {"Radau": Radau, "BDF": BDF}
P_TINY, Q_TINY, V_TINY = 1e-5, 1e-12, 1e-14  # Pa, m³/s, m³: within these of zero a guard counts as zero
MOST_FLIPS = 50  # at one instant


@dataclass
class Guard:
    key: object  # of the mode
    value: float
    becomes: str
    says: str | None  # the event's word; None is a silent one
    tiny: float


class Simulation:
    def __init__(self, scenario, rig, method="Radau", rtol=1e-10):
        self.scenario, self.rig, self.method, self.rtol = scenario, rig, METHODS[method], rtol
        self.water = scenario["water"]
        self.lineup = dict(scenario["lineup"])
        self.seeps = {fault["seep"]: fault for fault in scenario.get("fault", [])}
        self.of_kind = lambda *kinds: [part for part in rig.parts.values() if part.kind in kinds]
        self.tanks = self.of_kind("tank")
        self.elastic_parts = self.of_kind("accumulator", "elastic", "heater")
        self.store_joints = sorted({part.at for part in self.elastic_parts})

        start = scenario["start"]
        self.t = 0.0
        self.pressure = {joint: start["pressure_pa"][joint] for joint in self.store_joints}
        self.volume = np.array([start["tank_m3"][tank.name] for tank in self.tanks])
        self.spilled = np.zeros(len(self.tanks))
        self.counted = [part.name for part in self.of_kind("pump", "shutoff", "check", "regulator", "fixture",
                                                          "hookup", "relief_valve")]
        self.passed = np.zeros(len(self.counted))
        self.warmth = scenario.get("temperature", {})  # heater → [[s, K], …], straight between
        self.events, self.samples, self.steps = [], [], 0
        self.stored_at_start = self.stored()
        self.volume_at_start = self.volume.copy()

    # ---- what the stores hold ----------------------------------------------------------------------------

    def temperature(self, heater, t):
        times, kelvins = np.array(self.warmth[heater.name]).T
        return np.interp(t, times, kelvins)

    def stored(self):
        """Water in each store at reference density, m³: C·p − volume·expansion·(T − T at start) for a heater."""
        held = {}
        for part in self.elastic_parts:
            p = self.pressure[part.at]
            if part.kind == "accumulator":
                held[part.name] = max(0.0, laws.gas_water(part.volume, part.precharge, self.water["atmosphere_pa"],
                                                          p, part.exponent))
            else:
                held[part.name] = part.compliance * p
            if part.kind == "heater" and part.name in self.warmth:
                warmed = self.temperature(part, self.t) - self.temperature(part, 0)
                held[part.name] -= part.volume * part.expansion * warmed
        return held

    def compliance(self, joint, p):
        """dV/dp of the water held at a joint, and its derivative."""
        first = second = 0.0
        for part in self.elastic_parts:
            if part.at != joint:
                continue
            if part.kind != "accumulator":
                first += part.compliance
            elif self.mode[part.name] == "charged":
                c, dc = laws.gas_compliance(part.volume, part.precharge, self.water["atmosphere_pa"], p, part.exponent)
                first, second = first + c, second + dc
        return first, second

    def expansion_rate(self, joint, t0, t1):
        """Water a joint's heaters push out as they warm, m³/s; constant between two knots."""
        rate = 0.0
        for part in self.of_kind("heater"):
            if part.at == joint and part.name in self.warmth:
                warming = (self.temperature(part, t1) - self.temperature(part, t0)) / (t1 - t0)
                rate += part.volume * part.expansion * warming
        return rate

    # ---- modes -------------------------------------------------------------------------------------------

    def powered(self, pump):
        return self.lineup.get(pump.name, "on") == "on"

    def level(self, i, volumes):
        tank = self.tanks[i]
        return tank.floor + volumes[i] * tank.height / tank.capacity

    def first_mode(self):
        mode = {}
        for part in self.rig.parts.values():
            if part.kind == "pump":
                mode[part.name] = "rests"
            elif part.kind in ("check", "regulator", "relief_valve"):
                mode[part.name] = "shut"
            elif part.kind == "accumulator":
                mode[part.name] = "charged" if self.pressure[part.at] > part.precharge else "empty"
        for i, tank in enumerate(self.tanks):
            mode[tank.name] = "full" if self.volume[i] >= tank.capacity else "fills"
            for port in tank.ports:
                wet = self.level(i, self.volume) > self.rig.joints[port]
                mode[tank.name, port] = "wet" if wet else "dry"
        return mode

    def assemble(self):
        """The plumbing of the present mode and lineup."""
        plumbed = [part for part in self.rig.parts.values() if part.kind in
                   ("tube", "shutoff", "check", "regulator", "pump", "fixture", "hookup", "relief_valve")]
        paths = [path_of(part, self.lineup.get(part.name), self.mode.get(part.name), self.seeps.get(part.name),
                         self.water["density_kgm3"]) for part in plumbed]
        stores = [joint for joint in self.store_joints
                  if self.compliance(joint, max(self.pressure[joint], 0.0))[0] > 0]
        wet = {key[1] for key, state in self.mode.items() if isinstance(key, tuple) and state == "wet"}
        return Plumbing(self.rig, self.water, paths, stores, self.tanks, wet)

    def guards(self, plumbing, p, q, volumes):
        """Everything that could end the present mode."""
        at = lambda joint: p[plumbing.j[joint]]
        through = lambda part: q[plumbing.k[part.name]]
        rise = lambda part: plumbing.rho_g * (self.rig.joints[part.from_] - self.rig.joints[part.to])
        drop = lambda part: at(part.from_) - at(part.to) + rise(part)
        found = []
        watch = lambda key, value, becomes, says, tiny: found.append(Guard(key, value, becomes, says, tiny))

        for part in self.rig.parts.values():
            name, state = part.name, self.mode.get(part.name)
            if part.kind == "pump" and state == "runs":
                watch(name, part.cut_out - at(part.sense), "rests", "pump stops", P_TINY)
            elif part.kind == "pump" and self.powered(part):
                watch(name, at(part.sense) - part.cut_in, "runs", "pump starts", P_TINY)
            elif part.kind == "check" and state == "open":
                watch(name, through(part), "shut", None, Q_TINY)
            elif part.kind == "check":
                watch(name, part.cracking - drop(part), "open", None, P_TINY)
            elif part.kind == "regulator":
                sag = part.set - part.droop / part.droop_at * through(part) - at(part.to)
                wide = laws.loss(part.k, part.bore, self.water["density_kgm3"]) * through(part) ** 2
                if not part.check:
                    raise ValueError(f'regulator "{name}": only one with a check is known here')
                if state == "shut":
                    watch(name, max(at(part.to) - part.set, -drop(part)), "regulates", None, P_TINY)
                else:
                    watch(name, through(part), "shut", None, Q_TINY)
                    if state == "open":
                        watch(name, sag, "regulates", None, P_TINY)
                    else:
                        watch(name, drop(part) - wide, "open", None, P_TINY)
            elif part.kind == "relief_valve" and state == "open":
                watch(name, through(part), "shut", "relief shuts", Q_TINY)
            elif part.kind == "relief_valve":
                watch(name, part.set - at(part.at), "open", "relief opens", P_TINY)
            elif part.kind == "accumulator" and state == "charged":
                watch(name, at(part.at) - part.precharge, "empty", "accumulator empty", P_TINY)
            elif part.kind == "accumulator":
                watch(name, part.precharge - at(part.at), "charged", "accumulator fills", P_TINY)
            elif part.kind == "fixture" and through(part) < -Q_TINY:
                raise ArithmeticError(f'fixture "{name}" would draw air, which this solver does not know')

        for i, tank in enumerate(self.tanks):
            inflow = sum(plumbing.into[plumbing.j[port]] @ q for port in tank.ports)
            if self.mode[tank.name] == "full":
                watch(tank.name, inflow, "fills", None, Q_TINY)
            else:
                watch(tank.name, tank.capacity - volumes[i], "full", "tank full", V_TINY)
            for port in tank.ports:
                depth = plumbing.rho_g * (self.level(i, volumes) - self.rig.joints[port])
                if self.mode[tank.name, port] == "wet":
                    watch((tank.name, port), depth, "dry", None, P_TINY)
                else:
                    watch((tank.name, port), -depth, "wet", None, P_TINY)
                    if plumbing.into[plumbing.j[port]] @ q < -Q_TINY:
                        raise ArithmeticError(f'tank port "{port}" would give air, which this solver does not know')
        return found

    def flip(self, guard):
        self.mode[guard.key] = guard.becomes
        if guard.says:
            self.say(guard.key, guard.says)
        part = self.rig.parts.get(guard.key)
        if part is not None and part.kind == "accumulator":
            self.pressure[part.at] = part.precharge

    def say(self, part, what):
        self.events.append({"at_s": self.t, "part": part, "what": what})

    def settle(self):
        """Flips until no guard is below zero; returns the plumbing of the mode that stands."""
        for _ in range(MOST_FLIPS):
            plumbing = self.assemble()
            p, q = plumbing.solve(np.array([self.pressure[j] for j in plumbing.stores]), self.volume)
            broken = [g for g in self.guards(plumbing, p, q, self.volume) if g.value < -g.tiny]
            if not broken:
                return plumbing
            self.flip(broken[0])
        raise ArithmeticError(f"at {self.t} s the modes do not settle")

    # ---- time --------------------------------------------------------------------------------------------

    def run(self):
        self.mode = self.first_mode()
        scenario = self.scenario
        changes = sorted(scenario.get("schedule", []), key=lambda change: change["at_s"])
        knots = {t for table in self.warmth.values() for t, _ in table if 0 < t < scenario["until_s"]}
        stops = sorted({*scenario["samples_s"], *(change["at_s"] for change in changes), *knots, scenario["until_s"]})
        for stop in stops:
            self.advance(stop)
            if stop in scenario["samples_s"]:
                self.sample()
            for change in changes:
                if change["at_s"] == stop:
                    self.lineup[change["part"]] = change["set"]
                    self.say(change["part"], "schedule")
                    part = self.rig.parts[change["part"]]
                    if part.kind == "pump" and not self.powered(part) and self.mode[part.name] == "runs":
                        self.mode[part.name] = "rests"
                        self.say(part.name, "pump stops")
            for heater, table in self.warmth.items():
                if stop in knots and stop in [t for t, _ in table]:
                    self.say(heater, "schedule")
        return self.record()

    def advance(self, stop):
        """From self.t to stop, through whatever events lie between."""
        flips_here = 0
        while self.t < stop:
            plumbing, began = self.settle(), self.t
            self.phase(plumbing, stop)
            flips_here = flips_here + 1 if self.t == began else 0
            if flips_here > MOST_FLIPS:
                raise ArithmeticError(f"at {self.t} s the modes do not settle")

    def phase(self, plumbing, stop):
        """Integrates one mode until it ends or stop is reached. Time in here counts from the phase's start."""
        ns, nt, nc = len(plumbing.stores), len(self.tanks), len(self.counted)
        full = np.array([self.mode[tank.name] == "full" for tank in self.tanks])
        warmth = np.array([self.expansion_rate(joint, self.t, stop) for joint in plumbing.stores])
        ports = np.zeros((nt, plumbing.nj))
        for i, tank in enumerate(self.tanks):
            for port in tank.ports:
                ports[i, plumbing.j[port]] = 1
        into_tanks = ports @ plumbing.into
        into_stores = plumbing.into[plumbing.store_rows]
        counted = np.array([plumbing.k[name] for name in self.counted], dtype=int)
        known = {}

        def network(y):
            key = y[: ns + nt].tobytes()
            if known.get("key") != key:
                known["key"], known["value"] = key, plumbing.solve(y[:ns], y[ns: ns + nt])
            return known["value"]

        def compliances(y):
            return np.array([self.compliance(joint, p) for joint, p in zip(plumbing.stores, y)]).reshape(ns, 2).T

        def rates(_, y):
            _, q = network(y)
            filling = into_tanks @ q
            c, _ = compliances(y)
            return np.concatenate([(into_stores @ q + warmth) / c, np.where(full, 0, filling),
                                   np.where(full, filling, 0), q[counted]])

        def jacobian(_, y):
            _, q = network(y)
            dq = plumbing.slopes(q, y[ns: ns + nt])
            c, dc = compliances(y)
            j = np.zeros((len(y),) * 2)
            j[:ns, : ns + nt] = (into_stores @ dq) / c[:, None]
            j[:ns, :ns] -= np.diag((into_stores @ q + warmth) * dc / c**2)
            filling = into_tanks @ dq
            j[ns: ns + nt, : ns + nt] = np.where(full[:, None], 0, filling)
            j[ns + nt: ns + 2 * nt, : ns + nt] = np.where(full[:, None], filling, 0)
            j[ns + 2 * nt:, : ns + nt] = dq[counted]
            return j

        def watch(y):
            p, q = network(y)
            return {(g.key, g.becomes): g for g in self.guards(plumbing, p, q, y[ns: ns + nt])}

        # A pressure of 1e5 Pa, and volumes of a cubic centimetre, are where the relative tolerance hands over.
        atol = self.rtol * np.concatenate([np.full(ns, 1e5), np.full(nt, 1e-3), np.full(nt + nc, 1e-6)])

        def integrator(method, t, y, bound, first=None):
            return method(rates, t, y, bound, rtol=self.rtol, atol=atol, jac=jacobian, first_step=first)

        def again(y, span):
            """The state a time span after y, integrated afresh."""
            if span == 0:
                return y
            solver = integrator(Radau, 0.0, y, span, first=span)
            while solver.status == "running":
                message = solver.step()
            if solver.status != "finished":
                raise ArithmeticError(message)
            return solver.y

        y = np.concatenate([[self.pressure[joint] for joint in plumbing.stores], self.volume, self.spilled,
                            self.passed])
        began = self.t
        solver = integrator(self.method, 0.0, y, stop - began)
        armed = {key for key, guard in watch(y).items() if guard.value > guard.tiny}
        while solver.status == "running":
            t_old, y_old = solver.t, solver.y
            message = solver.step()
            self.steps += 1
            if solver.status == "failed":
                raise ArithmeticError(message)
            inside = solver.dense_output()
            first = None
            for part_of_step in (0.25, 0.5, 0.75, 1.0):
                t = t_old + part_of_step * (solver.t - t_old)
                seen = watch(solver.y if part_of_step == 1 else inside(t))
                # What is about zero where the phase begins is given the first step to make up its mind.
                fallen = [key for key, guard in seen.items()
                          if guard.value < (0 if key in armed or t_old > 0 else -guard.tiny)]
                if fallen:
                    first = self.locate(fallen, watch, again, y_old, t - t_old, solver)
                    if first:
                        break
                armed |= {key for key, guard in seen.items() if guard.value > 0}
            if first:
                span, y, key = first
                self.keep(plumbing, y, began + t_old + span)
                self.flip(watch(y)[key])
                return
        self.keep(plumbing, solver.y, stop)

    @staticmethod
    def locate(fallen, watch, again, y_old, bracket, solver):
        """The earliest of the guards that fell within bracket of y_old: (time after y_old, state, guard's key).

        None if, integrated afresh, none of them has fallen yet: dense output is not quite the solution.
        """
        found = []
        for key in fallen:
            value = lambda span: watch(again(y_old, span))[key].value
            if value(0.0) <= 0:  # zero where the phase began, and the wrong way since
                found.append((0.0, key))
            elif value(bracket) < 0:
                found.append((brentq(value, 0.0, bracket, xtol=1e-14, rtol=1e-15), key))
            elif watch(solver.y)[key].value < 0 and bracket == solver.t - solver.t_old:
                return bracket, solver.y, key
        if not found:
            return None
        span, key = min(found, key=lambda pair: pair[0])
        return span, again(y_old, span), key

    def keep(self, plumbing, y, t):
        """Takes the integrator's state over into the simulation's."""
        ns, nt = len(plumbing.stores), len(self.tanks)
        p, q = plumbing.solve(y[:ns], y[ns: ns + nt])
        for joint in self.store_joints:  # a joint whose only store is an empty accumulator has the network's pressure
            self.pressure[joint] = p[plumbing.j[joint]]
        self.volume, self.spilled, self.passed = y[ns: ns + nt], y[ns + nt: ns + 2 * nt], y[ns + 2 * nt:]
        self.t = t

    # ---- what comes out ----------------------------------------------------------------------------------

    def sample(self):
        plumbing = self.settle()
        p, q = plumbing.solve(np.array([self.pressure[j] for j in plumbing.stores]), self.volume)
        self.samples.append({
            "at_s": self.t,
            "pressure_pa": {joint: p[i] for joint, i in plumbing.j.items()},
            "flow_m3s": {name: q[plumbing.k[name]] for name in self.scenario["flows"]},
            "tank_m3": {tank.name: self.volume[i] for i, tank in enumerate(self.tanks)},
        })

    def record(self):
        held = self.stored()
        change = {name: held[name] - self.stored_at_start[name] for name in held}
        left = sum(v for name, v in zip(self.counted, self.passed)
                   if self.rig.parts[name].kind in ("fixture", "hookup", "relief_valve"))
        gained = sum(change.values()) + (self.volume - self.volume_at_start).sum()
        return {
            "events": self.events,
            "samples": self.samples,
            "tank_m3": {tank.name: self.volume[i] for i, tank in enumerate(self.tanks)},
            "ledger": {
                "parts_m3": dict(zip(self.counted, self.passed)),
                "stored_m3": change,
                "spilled_m3": {tank.name: self.spilled[i] for i, tank in enumerate(self.tanks)},
                "closure_m3": -left - self.spilled.sum() - gained,
            },
        }
