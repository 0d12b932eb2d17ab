"""The laws of one thing at a time, in SI units, pressures gauge.

Every path for water is written as its pressure drop d as a function of the flow q through it
(never the flow as a function of the drop), so that each law below is finite and rising at rest.
Arrays in, arrays out: one entry a path.
"""

import numpy as np

LAMINAR_END, TURBULENT_START = 2000.0, 4000.0  # Reynolds numbers between which the friction is blended
ROUGH, SMOOTH = 3.7, 2.51  # Colebrook, J. Inst. Civ. Eng. 11 (1939) 133


def colebrook(reynolds, relative_roughness):
    """Darcy friction factor f and df/dRe of a full round tube.

        1/√f = −2·log₁₀( ε/(3.7·D) + 2.51/(Re·√f) )

    With x = 1/√f this is x + 2·log₁₀(a + b·x) = 0, a = ε/(3.7·D), b = 2.51/Re. One substitution from x = 7
    is within a few hundredths of the root; each turn of Newton's iteration then squares the error, to round-off.
    """
    a, b = relative_roughness / ROUGH, SMOOTH / reynolds
    two = 2 / np.log(10)
    x = -two * np.log(a + b * 7.0)
    for _ in range(3):
        inside = a + b * x
        x = x - (x + two * np.log(inside)) / (1 + two * b / inside)
    # Differentiating the equation: x′ (1 + two·b/(a+bx)) = two·x·b/Re/(a+bx), and f = x⁻².
    slope = two * x * b / reynolds / (a + b * x) / (1 + two * b / (a + b * x))
    return x**-2, -2 * x**-3 * slope


def friction_group(reynolds, relative_roughness):
    """G = f·Re² and dG/dRe.

    G = 64·Re up to Re 2000, Colebrook's from 4000, and between them the cubic in Re that takes over value
    and slope at both ends (Hermite).
    """
    value, slope = 64 * reynolds, np.full_like(reynolds, 64.0)

    beyond = reynolds > LAMINAR_END
    if beyond.any():
        rr = relative_roughness[beyond]
        re = np.maximum(reynolds[beyond], TURBULENT_START)
        f, df = colebrook(re, rr)
        turbulent, turbulent_slope = f * re**2, df * re**2 + 2 * f * re

        width = TURBULENT_START - LAMINAR_END
        s = np.minimum((reynolds[beyond] - LAMINAR_END) / width, 1)
        v0, m0, v1, m1 = 64 * LAMINAR_END, 64 * width, turbulent, turbulent_slope * width
        blend = (2*s**3 - 3*s**2 + 1)*v0 + (s**3 - 2*s**2 + s)*m0 + (-2*s**3 + 3*s**2)*v1 + (s**3 - s**2)*m1
        blend_slope = ((6*s**2 - 6*s)*v0 + (3*s**2 - 4*s + 1)*m0 + (6*s - 6*s**2)*v1 + (3*s**2 - 2*s)*m1) / width

        full = reynolds[beyond] >= TURBULENT_START
        value[beyond] = np.where(full, turbulent, blend)
        slope[beyond] = np.where(full, turbulent_slope, blend_slope)
    return value, slope


class Tubes:
    """Friction of straight tubes: d = f·(L/D)·ρ·v|v|/2 with Re = ρ|v|D/μ and v = 4q/(πD²).

    Written with G = f·Re² it reads d = ½·(L/D)·μ²/(ρD²)·G(Re)·sign(q), which needs no division at rest.
    """

    def __init__(self, length, bore, roughness, density, viscosity):
        self.relative_roughness = roughness / bore
        self.reynolds_per_flow = 4 * density / (np.pi * bore * viscosity)
        self.scale = 0.5 * length / bore * viscosity**2 / (density * bore**2)

    def drop(self, q):
        """d and dd/dq."""
        value, slope = friction_group(np.abs(q) * self.reynolds_per_flow, self.relative_roughness)
        return self.scale * value * np.sign(q), self.scale * slope * self.reynolds_per_flow


def loss(k, bore, density):
    """Coefficient of q|q| in d = K·ρ·v|v|/2 = K·8ρ·q|q|/(π²D⁴)."""
    return k * 8 * density / (np.pi**2 * bore**4)


def gas_water(volume, precharge, atmosphere, p, exponent=1.0):
    """Water in an accumulator at gauge pressure p ≥ precharge: V·(1 − ((p0 + pa)/(p + pa))^(1/n))."""
    return volume * (1 - ((precharge + atmosphere) / (p + atmosphere)) ** (1 / exponent))


def gas_compliance(volume, precharge, atmosphere, p, exponent=1.0):
    """dV/dp of gas_water and its own derivative d²V/dp²."""
    first = volume / exponent * (precharge + atmosphere) ** (1 / exponent) * (p + atmosphere) ** (-1 / exponent - 1)
    return first, -(1 / exponent + 1) * first / (p + atmosphere)
