"""The peers in Python: reads the log with pandas, and with `metrics` computes in numpy what an evaluation does under the
run's own load: figures, what the rules look at, and figures moved by each instrument. It has no reference load.

usage: evaluate_peer.py read|metrics|semicolon|quoted|clock|instant LOG ROUNDS; prints the median in ms.
"""

import sys
import time

import numpy as np
import pandas as pd

CUTOFF_VOLTS = 13.2


def mean_over(t, y, a, b):
    inside = (t > a) & (t < b)
    times = np.concatenate(([a], t[inside], [b]))
    values = np.concatenate(([np.interp(a, t, y)], y[inside], [np.interp(b, t, y)]))
    return np.trapezoid(values, times) / (b - a) if hasattr(np, "trapezoid") else np.trapz(values, times) / (b - a)


def figures(t, v, i, c):
    first = np.argmax(i > 0.05 * i.max())
    load = np.median(i[(t >= t[first]) & (t < t[first] + 5)])
    onset = np.argmax(i > load / 2)
    t = t - t[onset]
    rest = (t < 0) & (t >= -1)
    zero, v0 = np.median(i[rest]), np.median(v[rest])
    i = i - zero
    under = (t > 0) & (v <= CUTOFF_VOLTS)
    end = t[np.argmax(under)] if under.any() else t[-1]
    power = v * i
    marks = [mean_over(t, y, at - 0.5, at + 0.5) for y in (power, v, i) for at in (10, 30)]
    at_end = [mean_over(t, y, end - 0.5, end) for y in (power, v, i)]
    run = (t >= 0) & (t <= end)
    step = np.diff(t[run])
    charge = np.concatenate(([0.0], np.cumsum(step * (i[run][1:] + i[run][:-1]) / 2)))
    energy = np.sum(step * (power[run][1:] + power[run][:-1]) / 2)
    window = (t >= 0) & (t <= 5)
    total = np.concatenate(([0.0], np.cumsum(np.diff(t[window]) * (power[window][1:] + power[window][:-1]) / 2)))
    peak = np.max(np.interp(t[window], t[window], total) - np.interp(t[window] - 0.5, t[window], total)) / 0.5
    resistance = [(v0 - np.interp(at, t, v)) / np.interp(at, t, i) for at in (1, 10)]
    noise = [np.std(np.diff(y[run], 2)) / np.sqrt(6) for y in (v, i)]
    rate = np.median(1 / step)
    return (t, i, end), (marks, at_end, charge[-1], energy, peak, resistance, noise, rate, c[run].max() - c[onset], step.max())


def middle_of_three(y):
    before, here, after = y[:-2], y[1:-1], y[2:]
    return np.maximum(np.minimum(before, here), np.minimum(np.maximum(before, here), after))


def longest_held(y):
    changes = np.flatnonzero(np.diff(y))
    return np.diff(np.concatenate(([0], changes, [len(y)]))).max()


def spikes(y):
    flank = np.minimum(np.abs(y[1:-1] - y[:-2]), np.abs(y[1:-1] - y[2:]))
    return np.count_nonzero(flank > 12 * np.median(np.abs(np.diff(y))) + 1e-3 * np.ptp(y))


def repeated(v, i, size=60):
    """Whether a stretch of changes of both channels comes again: windows of a product of hashes, sorted."""
    both = np.flatnonzero((np.diff(v) != 0) & (np.diff(i) != 0)) + 1
    with np.errstate(over="ignore"):
        single = v[both].view(np.uint64) * np.uint64(0x9E3779B97F4A7C15) ^ i[both].view(np.uint64)
        sums = np.concatenate(([np.uint64(0)], np.cumsum(single * single)))
        windows = sums[size:] - sums[:-size]
    return len(windows) - len(np.unique(windows))


def findings(t, v, i, c, end):
    run = (t >= 1) & (t <= end)
    held = np.sum(np.diff(t[run])[i[run][1:] >= 0.6 * v[run][1:] * np.mean(i[run][:1000]) / np.mean(v[run][:1000])])
    extremes = [middle_of_three(y).max() for y in (v, -v, i)]
    return held, extremes, [longest_held(y[run]) for y in (v, i, c)], [spikes(y) for y in (v, i, c)], repeated(v[run], i[run])


def means(y, most=2000):
    width = -(-len(y) // most)
    return y[: len(y) // width * width].reshape(-1, width).mean(axis=1)


def metrics(frame):
    """The figures under the run's own load, what the rules look at, and the figures again with every part of the budget moved."""
    t, v, i, c = (frame.iloc[:, column].to_numpy() for column in range(4))
    (time, current, end), found = figures(t, v, i, c)
    seen = findings(time, v, current, c, end)
    few = [means(y) for y in (t, v, i, c)]
    moved = [
        figures(few[0] + a, few[1] * (1 + b) + d, few[2] * (1 + e) + f, few[3] + g)[1]
        for sign in (1, -1)
        for a, b, d, e, f, g in sign * np.diag([1e-3, 1e-3, 5e-3, 3e-3, 0.1, 1.0])
    ]
    return found, seen, moved


def read(path, what):
    """Times end as seconds from the first one, as they do for the other side."""
    if what == "semicolon":
        return pd.read_csv(path, sep=";", decimal=",")
    if what == "instant":
        frame = pd.read_csv(path, parse_dates=["Time"])
        frame["Time"] = (frame["Time"] - frame["Time"].iloc[0]).dt.total_seconds()
        return frame
    frame = pd.read_csv(path)
    if what == "clock":
        frame["Time"] = pd.to_timedelta(frame["Time"]).dt.total_seconds()
    return frame


def main():
    what, path, rounds = sys.argv[1], sys.argv[2], int(sys.argv[3])
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        frame = read(path, what)
        if what == "metrics":
            metrics(frame)
        times.append((time.perf_counter() - start) * 1000)
    print(np.median(times))


main()
