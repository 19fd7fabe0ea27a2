"""Figures under standard loads: docs/definitions.md, 19 to 22. Everything per cell."""

import numpy as np
from scipy.interpolate import CubicHermiteSpline
from scipy.linalg import lstsq

from channels import Line
from curves import CURVES
from protocols import CUTOFF_VOLTS_PER_CELL

R10 = [1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8]
STANDARD_LOADS = [float(f"{m}e{n}") for n in (-1, 0, 1, 2, 3) for m in R10]
LAGS = np.array([0.7, 3, 12, 45, 180])
PLACES = np.array([0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.88, 0.93, 0.97, 1, 0.3, 0.65])
WIDTHS = np.array([0.05, 0.06, 0.08] + [0.1] * 6 + [0.09, 0.07, 0.05, 0.035, 0.03, 0.2, 0.2])
WHOLE_BEND = {"lipo": 0.06, "lihv": 0.06, "liion": 0.08, "lifepo4": 0.006}
EARLY = [0.12, 0.25, 0.4, 0.6, 0.85, 1.15, 1.6, 2.2, 3, 4, 5.3, 7, 9, 11.5, 14.5, 18]
RECOVERY = [(0.35, 0.7), (0.8, 1.25), (1.6, 2.4), (3.2, 4.8), (4.9, 6.2)]
R, G, D, K, A, S = slice(0, 6), slice(6, 10), slice(10, 26), 26, 27, 28


class Curve:
    """A chemistry's open-circuit voltage over the share of charge left."""

    def __init__(self, chemistry):
        x, y = np.array(CURVES[chemistry]).T
        h, chords = np.diff(x), np.diff(y) / np.diff(x)
        w0, w1 = h[:-1] + 2 * h[1:], 2 * h[:-1] + h[1:]
        inner = (w0 + w1) / (w0 / chords[:-1] + w1 / chords[1:])
        slopes = np.concatenate([chords[:1], inner, chords[-1:]])
        self.spline, self.ends = CubicHermiteSpline(x, y, slopes), ((y[0], slopes[0]), (y[-1], slopes[-1]))

    def volts(self, left):
        inside = self.spline(np.clip(left, 0, 1))
        (v0, m0), (v1, m1) = self.ends
        return np.where(left < 0, v0 + left * m0, np.where(left > 1, v1 + (left - 1) * m1, inside))

    def slope(self, left):
        return np.where(left < 0, self.ends[0][1], np.where(left > 1, self.ends[1][1], self.spline(np.clip(left, 0, 1), 1)))


def lagged(time, current, start):
    """The current through each lag, exact for a current that is linear between samples."""
    x = np.empty((len(time), len(LAGS)))
    x[0] = start
    for i in range(1, len(time)):
        r = (time[i] - time[i - 1]) / LAGS
        kept, mean = np.exp(-r), -np.expm1(-r) / np.where(r > 0, r, 1)
        mean = np.where(r > 0, mean, 1)
        x[i] = kept * x[i - 1] + (mean - kept) * current[i - 1] + (1 - mean) * current[i]
    return x


def factor(p, u, y):
    g1, g2, g3, g4 = p[G]
    return (1 + g1 * u - g2 * 4 * u * (1 - u) + g3 * np.exp(-(1 - u) / 0.05)) * np.exp(-g4 * y)


def bends(u):
    return np.exp(-(((np.asarray(u)[:, None] - PLACES) / WIDTHS) ** 2) / 2)


def open_circuit(p, curve, u):
    return curve.volts(1 - p[K] * u) + bends(u) @ p[D] + p[A] * np.exp(-u / p[S])


def priors(chemistry, early_ohm, reached):
    iron = chemistry == "lifepo4"
    ohm, wide = (0.75 * early_ohm, 1.5) if iron else (early_ohm, 1)
    mean, sd = np.zeros(29), np.zeros(29)
    mean[R], sd[R] = np.array([0.78, 0.1, 0.13, 0.17, 0.2, 0.2]) * ohm, wide * np.array([0.2, 0.1, 0.1, 0.13, 0.17, 0.22]) * ohm
    mean[G], sd[G] = [0, 0, 0.3, 0.25], [0.2, 0.12, 0.4, 0.15]
    sd[D] = 0.015 * np.where(PLACES >= 0.95, 6, np.where(PLACES >= 0.85, 3, 1))
    sd[24:26] = WHOLE_BEND[chemistry]
    mean[K], sd[K] = (0.955, 0.025) if reached else (0.6, 0.3)
    mean[A], sd[A] = (0.1, 0.25) if iron else (0, 0.012)
    mean[S], sd[S] = 0.03, 0.012
    return mean, sd


class Run:
    """Samples from onset on, with what the model depends on."""

    def __init__(self, r, pack):
        t, v, i = r.voltage.time, r.voltage.values / pack["series"], r.current.values
        before = (t >= -5) & (t < 0)
        onset_v, onset_i = float(np.interp(0, t, v)), float(np.interp(0, t, i))
        start = np.zeros(len(LAGS))
        if before.any():
            start = lagged(np.append(t[before], 0), np.append(i[before], onset_i), start)[-1]
        after = (t > 0) & (t < r.load_end + 7)
        self.time = np.append(0, t[after])
        self.volts, self.amps = np.append(onset_v, v[after]), np.append(onset_i, i[after])
        drawn = np.diff(self.time) * (self.amps[1:] + self.amps[:-1]) / 2
        self.charge = np.append(0, np.cumsum(drawn))
        self.heat = np.append(0, np.cumsum(drawn * (self.amps[1:] + self.amps[:-1]) / 2))
        self.x = np.column_stack([self.amps, lagged(self.time, self.amps, start)])
        self.loaded = int(np.searchsorted(self.time, r.load_end, side="right"))
        on = np.flatnonzero(self.amps[: self.loaded] >= 0.9 * r.load.current)[0]
        self.full = 0 if on == 0 else min(on + 1, self.loaded - 1)
        self.u = self.charge / self.charge[self.loaded - 1]
        self.y = self.heat / self.heat[self.loaded - 1]


def groups(run):
    """Index ranges of the means that the model is fitted to, with their standard deviations."""
    found, begin, t_full = [], run.full, run.time[run.full]
    for bound in EARLY:
        end = begin
        while end < run.loaded and run.time[end] < t_full + bound - 1e-6:
            end += 1
        if end > begin:
            found.append((begin, end, 0.002))
            begin = end
    first, whole = run.charge[min(begin, run.loaded - 1)], run.charge[run.loaded - 1]
    for n in range(1, 106):
        end = begin
        while end < run.loaded and (n == 105 or run.charge[end] <= first + (whole - first) * n / 105 + 1e-9 * whole):
            end += 1
        if end > begin:
            found.append((begin, end, 0.002))
            begin = end
    limit = 0.1 * run.amps[max(0, run.loaded - 3)]
    off = run.loaded + np.flatnonzero(np.abs(run.amps[run.loaded :]) <= limit)
    for low, high in RECOVERY if len(off) else []:
        since = run.time - run.time[off[0]]
        inside = np.flatnonzero((np.arange(len(since)) >= off[0]) & (since >= low - 1e-6) & (since <= high + 1e-6))
        if len(inside) == 0:
            continue
        if (np.abs(run.amps[inside]) > limit).any():
            break
        found.append((inside[0], inside[-1] + 1, 0.003))
    return found


def fit(run, rest_volts, chemistry, early_ohm, reached):
    mean, sd = priors(chemistry, early_ohm, reached)
    curve = Curve(chemistry)
    parts = groups(run)
    average = lambda values: np.array([values[a:b].mean(axis=0) for a, b, _ in parts])
    u, y = np.append(0, average(run.u)), np.append(0, average(run.y))
    x = np.vstack([np.zeros(6), average(run.x)])
    volts, deviation = np.append(rest_volts, average(run.volts)), np.append(0.002, [d for *_, d in parts])
    phi, p = bends(u), mean.copy()
    for _ in range(8):
        f, warm, sag, left = factor(p, u, y), np.exp(-p[9] * y), x @ p[R], np.exp(-u / p[S])
        jacobian = np.column_stack(
            [
                -f[:, None] * x,
                -sag * warm * u,
                sag * warm * 4 * u * (1 - u),
                -sag * warm * np.exp(-(1 - u) / 0.05),
                sag * f * y,
                phi,
                -u * curve.slope(1 - p[K] * u),
                left,
                p[A] * left * u / p[S] ** 2,
            ]
        )
        off = volts - (open_circuit(p, curve, u) - f * sag)
        weighted = np.vstack([jacobian / deviation[:, None] * sd, np.eye(29)])
        p = p + sd * lstsq(weighted, np.concatenate([off / deviation, (mean - p) / sd]))[0]
        p[S] = np.clip(p[S], 0.006, 0.08)
    return p, curve


def source(run, p, curve, amps_10s):
    """U over the charge, with the resistances that a change of load meets."""
    early = p[0] + (p[1:6] * -np.expm1(-1 / LAGS)).sum()
    a = 0.32 * early * amps_10s / 0.0514
    ohms = p[R].copy()
    ohms[0] = max(0.1 * p[0], p[0] - 0.32 * (1 - np.tanh(a) / a) * early)
    n, full = run.loaded, run.full
    u, y = run.u[:n], run.y[:n]
    volts = run.volts[:n] + factor(p, u, y) * (run.x[:n] @ ohms)
    if full > 0:
        model = open_circuit(p, curve, u)
        near = (run.time[:n] < run.time[full] + 0.5 - 1e-6) & (np.arange(n) >= full)
        volts[:full] = model[:full] + (volts - model)[near].mean()
    return run.charge[:n], volts, factor(p, u, np.zeros(n)), ohms


def under_load(charge, volts, f, ohms, warming, load_ohm):
    time, amps, x, heat = [0.0], [volts[0] / (load_ohm + f[0] * ohms[0])], np.zeros(5), 0.0
    for i in range(1, len(charge)):
        before, drawn = amps[-1], max(0.0, charge[i] - charge[i - 1])
        now = before
        for _ in range(9):
            r = drawn / ((before + now) / 2) / LAGS
            kept = np.exp(-r)
            mean = -np.expm1(-r) / r if drawn > 0 else np.ones(5)
            warm = f[i] * np.exp(-warming * (heat + drawn * (before + now) / 2))
            lag = ohms[1:] @ (kept * x + (mean - kept) * before)
            now = (volts[i] - warm * lag) / (load_ohm + warm * (ohms[0] + ohms[1:] @ (1 - mean)))
        r = drawn / ((before + now) / 2) / LAGS
        kept = np.exp(-r)
        mean = -np.expm1(-r) / r if drawn > 0 else np.ones(5)
        x = kept * x + (mean - kept) * before + (1 - mean) * now
        heat += drawn * (before + now) / 2
        time.append(time[-1] + drawn / ((before + now) / 2))
        amps.append(now)
    return np.array(time), np.array(amps)


def carried_on(charge, volts, f, needed):
    """U past the last charge, along a slope that grows as it grew."""
    whole = charge[-1]
    width = 0.02 * whole
    last, earlier = charge >= whole - width, (charge >= whole - 2 * width) & (charge < whole - width)
    slope_of = lambda part: np.polyfit(charge[part] - whole, volts[part], 1)[0] if part.sum() >= 2 else 0.0
    slope, previous = slope_of(last), slope_of(earlier)
    if not slope < 0:
        return None
    rate = np.log(np.clip(slope / previous, 1, 3)) / width if previous < 0 else 0.0
    slope *= np.exp(rate * width / 2)
    fallen = lambda more: slope * np.expm1(rate * more) / rate if rate > 0 else slope * more
    added = 0.025 * whole
    if fallen(added) < -1.5 * needed:
        added = np.log1p(rate * -1.5 * needed / slope) / rate if rate > 0 else -1.5 * needed / slope
    more = added * np.arange(1, 13) / 12
    return np.append(charge, whole + more), np.append(volts, volts[-1] + fallen(more)), np.append(f, np.full(12, f[-1]))


def translations(r, pack, protocol):
    """(load, time, V of the pack, I) for every standard load within reach."""
    if protocol != "full-load" or r.rest_voltage is None or r.load_end < 10.5:
        return
    end = r.load_end if r.cutoff is None else r.cutoff
    if end < 10.5:
        return
    series, run = pack["series"], Run(r, pack)
    rest = r.rest_voltage / series
    early = (rest - r.voltage.mean(0.5, 1.5) / series) / r.current.mean(0.5, 1.5)
    if not early > 0:
        return
    p, curve = fit(run, rest, pack["chemistry"], early, r.cutoff is not None)
    amps, volts = r.current.mean(9.5, 10.5), r.voltage.mean(9.5, 10.5) / series
    charge, source_volts, f, ohms = source(run, p, curve, amps)
    at = min(int(np.searchsorted(run.time, 10)), run.loaded - 1)
    own_ohm = (source_volts[at] - run.volts[at]) / run.amps[at]
    warming = p[9] / run.heat[run.loaded - 1]
    cutoff = CUTOFF_VOLTS_PER_CELL[protocol][pack["chemistry"]]
    for load in STANDARD_LOADS:
        ohm = 3.7 / load
        if not 0.7 <= (volts + amps * own_ohm) / (ohm + own_ohm) / amps <= 1.4:
            continue
        time, current = under_load(charge, source_volts, f, ohms, warming, ohm)
        if r.cutoff is not None and current[-1] * ohm > cutoff:
            further = carried_on(charge, source_volts, f, current[-1] * ohm - cutoff)
            if further:
                time, current = under_load(*further, ohms, warming, ohm)
        yield load, Line(time, current * ohm * series), Line(time, current), cutoff * series
