"""Samples of a log: docs/definitions.md, "Samples". Channels are straight lines between samples."""

import csv

import numpy as np
from scipy.integrate import cumulative_trapezoid

COLUMNS = {
    "Time [s]": "time",
    "Voltage [V]": "voltage",
    "Current [A]": "current",
    "Temperature [degC]": "temperature",
}


def number(text):
    return float(text) if text.strip() else np.nan


def read_samples(path):
    """The samples of a comma-separated log as arrays; temperature is None when no row has one."""
    with open(path, newline="", encoding="utf-8") as file:
        lines = csv.reader(file)
        names = [COLUMNS[header] for header in next(lines)]
        rows = [dict(zip(names, map(number, line))) for line in lines if line]

    kept = []
    for row in rows:
        needed = [row["time"], row["voltage"], row["current"]]
        if not np.all(np.isfinite(needed)):
            continue
        if kept and not row["time"] > kept[-1]["time"]:
            continue
        kept.append(row)

    samples = {name: np.array([row[name] for row in kept]) for name in ("time", "voltage", "current")}
    samples["temperature"], samples["read_temperature"] = None, None
    if "temperature" in names:
        samples["read_temperature"] = np.array([row["temperature"] for row in kept])
        samples["temperature"] = filled(samples["time"], samples["read_temperature"])
    samples["current"] = samples["current"] * discharge_sign(samples)
    return samples


def between(samples, first, end):
    """The samples [first, end) of a log, as if there were no others."""
    part = {name: None if values is None else values[first:end] for name, values in samples.items()}
    if part["read_temperature"] is not None:
        part["temperature"] = filled(part["time"], part["read_temperature"])
    return part


def middles(values):
    """The middle one of every value and its two neighbours."""
    padded = np.concatenate([values[:1], values, values[-1:]])
    return np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0)


def discharge_sign(samples):
    """Item 4: 1 or -1, as the pack tells."""
    time, volts, amperes = samples["time"], middles(samples["voltage"]), middles(samples["current"])
    largest = np.abs(amperes).max()
    later = np.maximum(np.searchsorted(time, time + 1), np.arange(len(time)) + 2)
    i = np.flatnonzero(later < len(time))
    i = i[time[later[i]] - time[i] <= 120]
    risen, moved = amperes[later[i]] - amperes[i], volts[later[i]] - volts[i]
    steps = np.abs(risen) >= 0.1 * largest
    stepped = np.abs(risen[steps]).sum()
    agreed, answered = -(risen * np.sign(moved))[steps].sum(), -(risen * moved)[steps].sum()
    noise = np.sqrt(np.mean(moved[~steps] ** 2)) if (~steps).any() else 0
    answers = []
    if stepped > 0 and abs(agreed) >= 0.4 * stepped and abs(answered) > noise * stepped:
        answers.append((abs(answered) / stepped, np.sign(agreed)))
    fallen = 0
    loaded = np.where(np.abs(amperes) >= 0.1 * largest, np.sign(amperes), 0)
    bounds = np.concatenate([[0], np.flatnonzero(np.diff(loaded)) + 1, [len(loaded)]])
    for a, b in zip(bounds[:-1], bounds[1:]):
        if loaded[a] != 0 and b - a >= 20:
            width = int(np.ceil(0.1 * (b - a)))
            fallen += loaded[a] * (volts[a : a + width].mean() - volts[b - width : b].mean())
    if abs(fallen) >= 0.003 * abs(volts.mean()):
        answers.append((abs(fallen), np.sign(fallen)))
    if answers:
        return max(answers)[1]
    raise ValueError("the direction of the current is not known")


def filled(time, values):
    known = np.isfinite(values)
    return np.interp(time, time[known], values[known]) if known.any() else None


class Line:
    """A channel that is linear between its samples."""

    def __init__(self, time, values):
        self.time = time
        self.values = values
        self.areas = cumulative_trapezoid(values, time, initial=0)

    def at(self, t):
        return float(np.interp(t, self.time, self.values))

    def area_until(self, t):
        i = int(np.clip(np.searchsorted(self.time, t, side="right") - 1, 0, len(self.time) - 2))
        return self.areas[i] + (t - self.time[i]) * (self.values[i] + self.at(t)) / 2

    def integral(self, a, b):
        return float(self.area_until(b) - self.area_until(a))

    def mean(self, a, b):
        return self.integral(a, b) / (b - a)

    def upward_crossings(self, level):
        """Instants at which the line comes from below `level` to it."""
        v, t = self.values, self.time
        found = np.flatnonzero((v[:-1] < level) & (v[1:] >= level))
        return [float(t[i] + (level - v[i]) / (v[i + 1] - v[i]) * (t[i + 1] - t[i])) for i in found]

    def largest_mean(self, width, first, last):
        """The window of `width`, starting within [first, last], with the largest mean: (start, mean).

        The mean is a parabola in the start between those starts at which an end of the window meets a sample, so
        the largest one is at such a start or where the line stands equally high at both ends of the window.
        """
        if last < first:
            return None
        starts = np.concatenate([self.time, self.time - width, [first, last]])
        starts = np.unique(starts[(starts >= first) & (starts <= last)])
        candidates = list(starts)
        for a, b in zip(starts[:-1], starts[1:]):
            at_a = self.at(a + width) - self.at(a)
            at_b = self.at(b + width) - self.at(b)
            if at_a > 0 > at_b:
                candidates.append(a + (b - a) * at_a / (at_a - at_b))
        means = [self.mean(s, s + width) for s in candidates]
        best = int(np.argmax(means))
        return float(candidates[best]), float(means[best])
