"""Independent reference of golf-ball flight: equations, ground and solver. Needs numpy and scipy.

Frame: x toward the target, y to the RIGHT, z up (a left-handed triple on purpose: the signs are the golfer's). SI everywhere inside.
"""
import math
from dataclasses import dataclass
from typing import Optional

import numpy as np
from scipy.integrate import solve_ivp

# ---------------------------------------------------------------- exact conversions and constants
YD = 0.9144                      # m, exact
FT = 0.3048                      # m, exact
MPH = 0.44704                    # m/s, exact
INHG = 3386.389                  # Pa, mercury at 0 C, standard gravity
RPM = 2.0 * math.pi / 60.0       # rad/s
G = 9.80665                      # m/s2, standard gravity (exact, conventional)

MASS = 0.04593                   # kg, 1.620 oz avoirdupois = 45.926 g (upper limit, Rules of Golf)
DIAMETER = 0.04267               # m, 1.680 in = 42.672 mm (lower limit, Rules of Golf)
RADIUS = DIAMETER / 2.0
AREA = math.pi * RADIUS**2
R1 = 2.0e-5                      # spin-decay constant: d(omega)/dt = -R1 * omega * |v_rel| / r
Z0 = 0.03                        # m, aerodynamic roughness of short grass


# ---------------------------------------------------------------- air
def isa_temperature(h_m):
    """US Standard Atmosphere 1976 temperature, K, geopotential height below 11 km."""
    return 288.15 - 0.0065 * h_m


def isa_pressure(h_m):
    """US Standard Atmosphere 1976 pressure, Pa, geopotential height below 11 km."""
    g0, m0, rstar, lapse = 9.80665, 0.0289644, 8.31432, 0.0065
    return 101325.0 * (1.0 - lapse * h_m / 288.15) ** (g0 * m0 / (rstar * lapse))


def saturation_pressure(temp_k):
    """CIPM-2007 saturation vapour pressure over water, Pa."""
    return math.exp(1.2378847e-5 * temp_k**2 - 1.9121316e-2 * temp_k + 33.93711047 - 6.3431645e3 / temp_k)


def air_density(temp_c, pressure_pa, rh):
    """CIPM-2007 moist-air density, kg/m3; rh is a fraction 0..1; CO2 at 400 ppm."""
    t, p = temp_c, pressure_pa
    tk = t + 273.15
    enh = 1.00062 + 3.14e-8 * p + 5.6e-7 * t * t
    xv = rh * enh * saturation_pressure(tk) / p
    z = (1.0
         - p / tk * (1.58123e-6 - 2.9331e-8 * t + 1.1043e-10 * t * t
                     + (5.707e-6 - 2.051e-8 * t) * xv + (1.9898e-4 - 2.376e-6 * t) * xv * xv)
         + (p / tk) ** 2 * (1.83e-11 - 0.765e-8 * xv * xv))
    return p * 28.96546e-3 / (z * 8.314472 * tk) * (1.0 - xv * (1.0 - 18.01528 / 28.96546))


def air_density_virtual(temp_c, pressure_pa, rh):
    """Second route, ideal gas with virtual temperature, Magnus saturation pressure (check only)."""
    es = 611.2 * math.exp(17.62 * temp_c / (243.12 + temp_c))
    e = rh * es
    tk = temp_c + 273.15
    return (pressure_pa - e) / (287.055 * tk) + e / (461.52 * tk)


def air_viscosity(temp_c):
    """Sutherland dynamic viscosity as in US Std Atm 1976, Pa s (humidity ignored)."""
    tk = temp_c + 273.15
    return 1.458e-6 * tk**1.5 / (tk + 110.4)


# ---------------------------------------------------------------- inputs
@dataclass(frozen=True)
class Shot:
    """One launch with its air, wind and ground, all SI except angles (deg) and spin (rpm)."""
    name: str
    speed: float                           # m/s
    launch_deg: float
    spin_rpm: float
    axis_deg: float = 0.0                  # positive curves right
    direction_deg: float = 0.0             # positive starts right
    temp_c: float = 20.0
    altitude_m: float = 0.0                # used for pressure only where pressure is None
    pressure_pa: Optional[float] = None
    rh: float = 0.5
    wind: float = 0.0                      # m/s at wind_height
    wind_from_deg: float = 0.0             # 0 head, 90 from the right, 180 tail
    wind_height: float = 10.0
    ground: str = "medium"
    gyro: str = "perpendicular"            # spin axis at launch: see spin_axis()

    def pressure(self):
        return isa_pressure(self.altitude_m) if self.pressure_pa is None else self.pressure_pa

    def density(self):
        return air_density(self.temp_c, self.pressure(), self.rh)


# ---------------------------------------------------------------- aerodynamics
def coeff_default(re, s):
    """Six fitted numbers (0.0893, 0.52, 0.04, 6.75e4, 0.36, 0.16)."""
    cl = 0.36 * (1.0 - math.exp(-s / 0.16))
    cd = 0.0893 + 0.52 * cl + 0.04 * re / 1e5 + 0.33 / (1.0 + (re / 6.75e4) ** 8)
    return cd, cl


def coeff_smits_ogg(re, s):
    cd = 0.24 + 0.18 * s + 0.06 * math.sin(math.pi * (re - 9e4) / 2e5)
    cl = 0.54 * s**0.4 if s > 0.0 else 0.0
    return cd, cl


def coeff_vacuum(re, s):
    return 0.0, 0.0


MODELS = {"default": coeff_default, "smits-ogg": coeff_smits_ogg, "vacuum": coeff_vacuum}


def wind_at(shot, z):
    """Wind velocity (x, y, 0): log law shifted by z0, so that u(0) = 0; held at 0 below ground."""
    if shot.wind == 0.0:
        return np.zeros(3)
    zz = max(z, 0.0)
    u = shot.wind * math.log((zz + Z0) / Z0) / math.log((shot.wind_height + Z0) / Z0)
    a = math.radians(shot.wind_from_deg)
    # The air comes FROM angle a (0 = from the target, 90 = from the right) and moves the other way.
    return np.array([-u * math.cos(a), -u * math.sin(a), 0.0])


def spin_axis(shot):
    """Unit spin vector in (x, y right, z up) components; right-hand rotation sense in space.

    Untilted backspin points right: (0, 1, 0).  A positive tilt drops its right end.
    'perpendicular' (used for all rows): tilted about the launch velocity, so that launch has no
    rifle spin.  'horizontal-heading': tilted about the level heading (the usual alternative).
    """
    d, th, a = (math.radians(v) for v in (shot.direction_deg, shot.launch_deg, shot.axis_deg))
    right = np.array([-math.sin(d), math.cos(d), 0.0])
    if shot.gyro == "perpendicular":
        up = np.array([-math.sin(th) * math.cos(d), -math.sin(th) * math.sin(d), math.cos(th)])
    else:
        up = np.array([0.0, 0.0, 1.0])
    return math.cos(a) * right - math.sin(a) * up


def cross(a, b):
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def make_rhs(shot, model):
    """dy/dt for y = (x, y, z, vx, vy, vz, omega)."""
    coeff = MODELS[model]
    rho = shot.density()
    nu = air_viscosity(shot.temp_c) / rho
    axis = spin_axis(shot)
    k = 0.5 * rho * AREA / MASS

    def rhs(_t, y):
        vel, omega = y[3:6], y[6]
        rel = vel - wind_at(shot, y[2])
        speed = math.sqrt(rel @ rel)
        acc = np.array([0.0, 0.0, -G])
        if speed > 0.0:
            # component formula in a left-handed triple: omega x v in space is  v x omega  here
            c = cross(rel, axis)
            sin_angle = math.sqrt(c @ c) / speed
            s = RADIUS * omega * sin_angle / speed
            cd, cl = coeff(speed * DIAMETER / nu, s)
            acc = acc - k * speed * cd * rel
            if sin_angle > 0.0:
                acc = acc + k * speed * cl * c / sin_angle
        domega = 0.0 if model == "vacuum" else -R1 * omega * speed / RADIUS
        return np.array([vel[0], vel[1], vel[2], acc[0], acc[1], acc[2], domega])

    return rhs


def initial_state(shot):
    d, th = math.radians(shot.direction_deg), math.radians(shot.launch_deg)
    return np.array([0.0, 0.0, 0.0,
                     shot.speed * math.cos(th) * math.cos(d),
                     shot.speed * math.cos(th) * math.sin(d),
                     shot.speed * math.sin(th), shot.spin_rpm * RPM])


# ---------------------------------------------------------------- ground
@dataclass(frozen=True)
class Ground:
    """Run model, one row a ground (all ESTIMATES, +-30 % on the run).

    crater: factor on the effective tilt angle; bounce: factor on the restitution; mu: sliding
    friction; keep: share of the tangential speed that survives an impact (wet turf eats the rest);
    roll: rolling resistance (deceleration 5/7 * roll * g).  All but the law itself is own choice.
    """
    crater: float
    bounce: float
    mu: float
    keep: float
    roll: float


GROUNDS = {
    "frozen": Ground(0.80, 1.20, 0.30, 1.00, 0.12),
    # firm = the bounce law all but unmodified: crater fitted so that the Overall Distance Standard shot totals 318.8 yd
    "firm": Ground(1.012, 1.00, 0.40, 1.00, 0.20),
    "medium": Ground(1.00, 0.92, 0.40, 0.93, 0.25),
    "soft": Ground(1.05, 0.70, 0.45, 0.80, 0.35),
    "soaked": Ground(1.20, 0.30, 0.60, 0.25, 1.00),
}


def run_out(ground, v_horizontal, v_down, backspin):
    """Bounce then roll on level ground, in the vertical plane of the landing velocity.

    Returns the signed run in m (negative: it comes back).  backspin in rad/s, positive backspin.
    Hops are ballistic (no air), since the estimate does not deserve more.
    """
    vx, vy, w, dist = v_horizontal, v_down, backspin, 0.0
    for _ in range(50):
        v = math.hypot(vx, vy)
        phi = math.degrees(math.atan2(vx, vy))                   # from the normal
        tilt = math.radians(ground.crater * 15.4 * (v / 18.6) * (max(-50.0, min(phi, 50.0)) / 44.4))
        tx = v * math.sin(math.radians(phi) - tilt)                  # (in the tilted frame)
        ty = v * math.cos(math.radians(phi) - tilt)
        e = ground.bounce * (0.510 - 0.0375 * ty + 0.000903 * ty * ty if ty <= 20.0 else 0.120)
        slip = tx + RADIUS * w
        mu_c = 2.0 * abs(slip) / (7.0 * (1.0 + e) * ty)
        if ground.mu < mu_c:                                     # slides through the impact
            j = math.copysign(ground.mu * ty * (1.0 + e), slip)
            rx, w = tx - j, w - 2.5 * j / RADIUS
        else:                                                    # rolls out of it
            rx = (5.0 * tx - 2.0 * RADIUS * w) / 7.0
            w = -rx / RADIUS
        rx *= ground.keep
        ry = e * ty
        vx = rx * math.cos(tilt) - ry * math.sin(tilt)
        vy = rx * math.sin(tilt) + ry * math.cos(tilt)
        if vy < math.sqrt(2.0 * G * 0.005):                      # a hop below 5 mm rolls
            break
        dist += 2.0 * vx * vy / G
    vroll = (5.0 * vx - 2.0 * RADIUS * w) / 7.0
    return dist + math.copysign(7.0 * vroll * vroll / (10.0 * ground.roll * G), vroll)


# ---------------------------------------------------------------- flight
def fly(shot, model, rtol=1e-10, method="DOP853"):
    """Fly one shot; returns a dict of outputs in SI (angles deg, spin rpm) and the solver's path."""
    rhs = make_rhs(shot, model)

    def landing(_t, y):
        return y[2]

    def apex(_t, y):
        return y[5]

    landing.terminal, landing.direction = True, -1.0
    apex.direction = -1.0
    sol = solve_ivp(rhs, (0.0, 60.0), initial_state(shot), method=method, rtol=rtol, atol=1e-11,
                    events=(landing, apex), dense_output=True)
    if not sol.t_events[0].size:
        raise RuntimeError(f"{shot.name}: does not land")
    tl, yl = sol.t_events[0][0], sol.y_events[0][0]
    vh = math.hypot(yl[3], yl[4])
    heading = np.array([yl[3], yl[4], 0.0]) / vh
    side_axis = np.array([-heading[1], heading[0], 0.0])         # to the right of travel
    backspin = yl[6] * float(spin_axis(shot) @ side_axis)
    run = run_out(GROUNDS[shot.ground], vh, -yl[5], backspin)
    rest = yl[0] + run * heading[0], yl[1] + run * heading[1]
    out = {
        "carry_m": math.hypot(yl[0], yl[1]), "carry_yd": math.hypot(yl[0], yl[1]) / YD,
        "downrange_m": yl[0], "side_m": yl[1], "side_yd": yl[1] / YD,
        "apex_m": sol.y_events[1][0][2], "apex_ft": sol.y_events[1][0][2] / FT,
        "apex_x_m": sol.y_events[1][0][0], "apex_t_s": sol.t_events[1][0],
        "hang_time_s": tl, "descent_angle_deg": math.degrees(math.atan2(-yl[5], vh)),
        "landing_speed_mps": math.sqrt(vh * vh + yl[5] ** 2), "landing_spin_rpm": yl[6] / RPM,
        "landing_direction_deg": math.degrees(math.atan2(yl[4], yl[3])),
        "run_m": run, "run_low_m": 0.7 * run if run > 0 else 1.3 * run,
        "run_high_m": 1.3 * run if run > 0 else 0.7 * run,
        "total_m": math.hypot(*rest), "total_yd": math.hypot(*rest) / YD,
        "total_downrange_m": rest[0], "total_side_m": rest[1],
    }
    for t in (1.0, 2.0, 3.0):
        p = sol.sol(t)[:3] if t <= tl else (None,) * 3
        for ax, v in zip("xyz", p):
            out[f"{ax}{int(t)}_m"] = v
    out["_sol"], out["_tl"], out["_rhs"] = sol, tl, rhs
    return out
