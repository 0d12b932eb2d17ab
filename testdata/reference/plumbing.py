"""One rig in one mode: every joint pressure and every flow, given the pressures at the stores.

The equations are taken as they stand, none reduced and none merged. Unknowns are p at every joint and q
through every path; there is one equation for each:

    joint with a store       p = the store's pressure              (its balance gives the store's rate)
    tank port                p = max(0, ρg(level − z))
    any other joint          Σ q in − Σ q out = 0
    path that passes water   p_a − p_b + ρg(z_a − z_b) = d(q)      (law below)
    path that passes none    q = 0

and the whole is solved by Newton's iteration on a dense matrix.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg.lapack import dgetrf, dgetrs

import laws

P_UNIT, Q_UNIT = 1e5, 1e-4  # Pa and m³/s of one in the scaled equations; they move round-off only
AIR = None  # the far end of a path that discharges


@dataclass
class Path:
    """d(q) = off + lin·q + quad·q|q| + power·|q|ᵐ·sign(q) + tube friction.

    feels_a, feels_b say whether the pressure at that end enters: a regulator that regulates feels only its
    outlet, whatever stands at its inlet.
    """

    name: str
    a: str
    b: str | None
    passes: bool = True
    off: float = 0.0
    lin: float = 0.0
    quad: float = 0.0
    power: float = 0.0
    m: float = 1.0
    tube: tuple | None = None  # length, bore, roughness
    feels_a: bool = True
    feels_b: bool = True


def seep_path(name, a, b, fault):
    """q = ref·(|Δp|/at)ⁿ odd in Δp, turned round: Δp = at·(|q|/ref)^(1/n)."""
    n = fault["exponent"]
    if n > 1:
        raise ValueError(f'seep of "{name}": an exponent above 1 has no slope at rest in this form')
    return Path(name, a, b, power=fault["at_pa"] / fault["ref_m3s"] ** (1 / n), m=1 / n)


def opening(setting):
    """ "open" → 1, "open 0.4" → 0.4, "shut" → 0."""
    words = setting.split()
    if words[0] == "open":
        return float(words[1]) if len(words) > 1 else 1.0
    if words[0] == "shut":
        return 0.0
    raise ValueError(f'setting "{setting}" is not known to this solver')


def path_of(part, stands, state, seep, rho):
    """The path through one part: how it stands in the lineup, the state the mode gives it, its seep."""
    if part.kind == "tube":
        return Path(part.name, part.from_, part.to, quad=laws.loss(part.k, part.bore, rho),
                    tube=(part.length, part.bore, part.roughness))
    if part.kind == "fixture":
        open_to = opening(stands or "shut")
        if open_to:
            return Path(part.name, part.at, AIR, quad=part.rated_at / (open_to * part.rated) ** 2)
        return seep_path(part.name, part.at, AIR, seep) if seep else Path(part.name, part.at, AIR, passes=False)
    if part.kind == "hookup":
        if stands != "on":
            return Path(part.name, part.at, AIR, passes=False)
        return Path(part.name, part.at, AIR, off=part.static, lin=part.droop / part.droop_at)
    if part.kind == "relief_valve":
        if state == "open":
            if part.rated is None:
                raise ValueError(f'relief valve "{part.name}" opens, and its rated flow is not written')
            return Path(part.name, part.at, AIR, off=part.set, quad=0.1 * part.set / part.rated**2)
        return Path(part.name, part.at, AIR, passes=False)

    path = Path(part.name, part.from_, part.to)
    if part.kind == "shutoff":
        open_to = opening(stands or ("shut" if part.shut else "open"))
        if open_to:
            path.quad = laws.loss(part.k, part.bore, rho) / open_to**2
            return path
    elif part.kind == "check" and state == "open":
        path.off, path.quad = part.cracking, laws.loss(part.k, part.bore, rho)
        return path
    elif part.kind == "regulator" and state == "open":
        path.quad = laws.loss(part.k, part.bore, rho)
        return path
    elif part.kind == "regulator" and state == "regulates":  # p_b = set − (droop/droop_at)·q
        path.feels_a, path.off, path.lin = False, -part.set, part.droop / part.droop_at
        return path
    elif part.kind == "pump" and state == "runs":  # p_b − p_a = pmax·(1 − q/q0)
        path.off, path.lin = -part.pmax, part.pmax / part.q0
        return path
    if seep:
        return seep_path(part.name, part.from_, part.to, seep)
    path.passes = False
    return path


class Plumbing:
    """The equations of one mode. solve() returns p (Pa, by joint) and q (m³/s, by path)."""

    def __init__(self, rig, water, paths, stores, tanks, wet_ports):
        """stores: joints that hold water under pressure; tanks: list of parts; wet_ports: set of joints."""
        self.joints = list(rig.joints)
        self.paths = paths
        self.j = {name: i for i, name in enumerate(self.joints)}
        self.k = {path.name: i for i, path in enumerate(paths)}
        self.rho_g = water["density_kgm3"] * water["gravity_ms2"]
        self.stores, self.tanks = stores, tanks
        self.nj, self.nk = len(self.joints), len(paths)
        z = np.array([rig.joints[name] for name in self.joints])

        self.into = np.zeros((self.nj, self.nk))  # +1 where a path ends, −1 where it begins
        feels = np.zeros((self.nk, self.nj))
        self.static = np.zeros(self.nk)
        for i, path in enumerate(paths):
            both = path.feels_a and path.feels_b and path.b is not AIR
            self.into[self.j[path.a], i] = -1
            if path.passes and path.feels_a:
                feels[i, self.j[path.a]] = 1
            if path.b is not AIR:
                self.into[self.j[path.b], i] = 1
                if path.passes and path.feels_b:
                    feels[i, self.j[path.b]] = -1
                if both:
                    self.static[i] = self.rho_g * (z[self.j[path.a]] - z[self.j[path.b]])

        self.passes = np.array([path.passes for path in paths])
        for name in ("off", "lin", "quad", "power", "m"):
            setattr(self, name, np.array([getattr(path, name) for path in paths]))
        self.tube_rows = np.array([i for i, path in enumerate(paths) if path.tube], dtype=int)
        self.seep_rows = np.flatnonzero(self.power)
        length, bore, roughness = np.array([paths[i].tube for i in self.tube_rows]).T.reshape(3, -1)
        self.tube_law = laws.Tubes(length, bore, roughness, water["density_kgm3"], water["viscosity_pas"])

        # Rows: joints first (scaled by Q_UNIT, or P_UNIT where a pressure is given), then paths (P_UNIT).
        self.store_rows = np.array([self.j[name] for name in stores], dtype=int)
        self.port_rows, self.port_z, self.port_tank, self.port_wet = [], [], [], []
        for i, tank in enumerate(tanks):
            for port in tank.ports:
                self.port_rows.append(self.j[port])
                self.port_z.append(rig.joints[port])
                self.port_tank.append(i)
                self.port_wet.append(port in wet_ports)
        self.matrix = np.zeros((self.nj + self.nk,) * 2)
        for row, name in enumerate(self.joints):
            if row in self.store_rows or row in self.port_rows:
                self.matrix[row, row] = 1
            else:
                self.matrix[row, self.nj:] = self.into[row]
        self.matrix[self.nj:, : self.nj] = feels
        for i in np.flatnonzero(~self.passes):
            self.matrix[self.nj + i, self.nj + i] = 1
        self.feels = feels
        self.last_q = None

    def drop(self, q):
        """d(q) and its slope, by path."""
        size = np.abs(q)
        drop = self.off + (self.lin + self.quad * size) * q
        slope = self.lin + 2 * self.quad * size
        for i in self.seep_rows:
            steep = self.power[i] * size[i] ** (self.m[i] - 1)
            drop[i] += steep * q[i]
            slope[i] += self.m[i] * steep
        friction, friction_slope = self.tube_law.drop(q[self.tube_rows])
        drop[self.tube_rows] += friction
        slope[self.tube_rows] += friction_slope
        return drop, slope

    def port_pressures(self, volumes):
        """Pressure at each tank port and its derivative with the tank's volume."""
        p, dp = [], []
        for z, i, wet in zip(self.port_z, self.port_tank, self.port_wet):
            tank = self.tanks[i]
            level = tank.floor + volumes[i] * tank.height / tank.capacity
            p.append(self.rho_g * (level - z) if wet else 0.0)
            dp.append(self.rho_g * tank.height / tank.capacity if wet else 0.0)
        return np.array(p), np.array(dp)

    def factor(self, q):
        """LU of the scaled Jacobian at q, path rows divided by their size."""
        drop, slope = self.drop(q)
        jacobian = self.matrix.copy()
        rows = self.nj + np.arange(self.nk)
        scaled = np.where(self.passes, -slope * Q_UNIT / P_UNIT, 1.0)
        jacobian[rows, rows] = scaled
        size = 1 + np.abs(scaled)
        jacobian[self.nj:] /= size[:, None]
        lu, pivots, failed = dgetrf(jacobian)
        if failed:
            raise ArithmeticError(f"no definite pressure: {self.unknown(failed - 1)}")
        return drop, size, (lu, pivots)

    def solve(self, store_p, volumes):
        """Newton's iteration, from the last answer where there is one, else from 2e-5 m³/s everywhere."""
        port_p, _ = self.port_pressures(volumes)
        for q in ([self.last_q] if self.last_q is not None else []) + [np.full(self.nk, 2e-5)]:
            p, q, converged = self.iterate(q.copy(), store_p, port_p)
            if converged:
                self.last_q = q
                return p, q
        raise ArithmeticError("the network equations did not converge")

    def unknown(self, i):
        """The name of unknown i, for an error."""
        return f'joint "{self.joints[i]}"' if i < self.nj else f'path "{self.paths[i - self.nj].name}"'

    def iterate(self, q, store_p, port_p):
        p = np.full(self.nj, P_UNIT)
        residual = np.empty(self.nj + self.nk)
        for _ in range(60):
            drop, size, lu = self.factor(q)
            residual[: self.nj] = self.into @ q / Q_UNIT
            residual[self.store_rows] = (p[self.store_rows] - store_p) / P_UNIT
            residual[self.port_rows] = (p[self.port_rows] - port_p) / P_UNIT
            law = (self.feels @ p + self.static - drop) / P_UNIT
            residual[self.nj:] = np.where(self.passes, law, q / Q_UNIT) / size
            step = dgetrs(*lu, residual)[0]
            dp, dq = step[: self.nj] * P_UNIT, step[self.nj:] * Q_UNIT
            p, q = p - dp, q - dq
            if not np.isfinite(q).all():
                return p, q, False
            # The iteration is quadratic: what is left after a step this small is round-off.
            if np.all(np.abs(dq) <= 1e-7 * np.abs(q) + 1e-16):
                return p, np.where(self.passes, q, 0.0), True
        return p, q, False

    def slopes(self, q, volumes):
        """dq/d(store pressures) and dq/d(tank volumes), by the implicit function theorem."""
        _, _, lu = self.factor(q)
        right = np.zeros((self.nj + self.nk, len(self.stores) + len(self.tanks)))
        right[self.store_rows, np.arange(len(self.stores))] = 1 / P_UNIT
        _, dport = self.port_pressures(volumes)
        for row, i, slope in zip(self.port_rows, self.port_tank, dport):
            right[row, len(self.stores) + i] = slope / P_UNIT
        return dgetrs(*lu, right)[0][self.nj:] * Q_UNIT
