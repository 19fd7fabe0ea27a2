"""The peers in Python: reads the log with pandas, and with `metrics` computes what a run is summed up by, in numpy.

usage: evaluate_peer.py read|metrics LOG ROUNDS; prints the median in ms.
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


def metrics(frame):
    t, v, i, c = (frame.iloc[:, column].to_numpy() for column in range(4))
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
    return marks, at_end, charge[-1], energy, peak, resistance, noise, rate, c[run].max() - c[onset], step.max()


def main():
    what, path, rounds = sys.argv[1], sys.argv[2], int(sys.argv[3])
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        frame = pd.read_csv(path)
        if what == "metrics":
            metrics(frame)
        times.append((time.perf_counter() - start) * 1000)
    print(np.median(times))


main()
