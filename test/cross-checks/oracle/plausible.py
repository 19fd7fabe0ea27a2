"""What two rules of plausibility observe: docs/definitions.md, "Plausibility"."""

import numpy as np

from protocols import NOMINAL_VOLTS, SETTLED_VOLTS


def noise_floor(r):
    """Largest share of smooth stretches of both channels, in %; None when the samples are too few for one stretch."""
    first, end = np.searchsorted(r.voltage.time, [1.0, r.end])
    count = min(20, int(end - first) // 10)
    if count < 1:
        return None
    bounds = first + (end - first) * np.arange(count + 1) // count
    shares = []
    for values in (r.logged_voltage, r.logged_current):
        smooth = [is_smooth(r.voltage.time[a:b], values[a:b]) for a, b in zip(bounds[:-1], bounds[1:])]
        shares.append(100 * sum(smooth) / count)
    return max(shares)


def is_smooth(time, values):
    starts = range(len(values) - 4)
    if any(values[i] == values[i + 1] for i in starts):
        return False
    if np.ptp(values[: len(values) - 4]) < 10e-6 * np.mean(np.abs(values[: len(values) - 4])):
        return False
    residuals = [beside_cubic(time[i : i + 5], values[i : i + 5]) for i in starts]
    return np.sqrt(np.mean(np.square(residuals))) < 0.01e-6 * np.mean(np.abs(values[: len(values) - 4]))


def beside_cubic(time, values):
    distances = time[:, None] - time[None, :]
    np.fill_diagonal(distances, 1)
    weights = 1 / distances.prod(axis=1)
    return (weights @ values) / np.linalg.norm(weights)


def resistance_by_load(r, pack, bench):
    """Resistance at the step to the highest load, plus 2 u, in % of that at the one to the lowest; None when unknown."""
    charged = r.rest_voltage is not None and r.rest_voltage / pack["series"] > SETTLED_VOLTS[pack["chemistry"]] + 0.05
    steps = [step for step in load_steps(r, pack, bench) if step["at"] > 0.5 or not charged]
    if not steps:
        return None
    low = min(steps, key=lambda step: step["level"])
    high = max(steps, key=lambda step: step["level"])
    if high["level"] < 1.4 * low["level"] or low["ohm"] < 3 * low["u"]:
        return None
    ratio = high["ohm"] / low["ohm"]
    return 100 * (ratio + 2 * np.hypot(high["u"], ratio * low["u"]) / low["ohm"])


def load_steps(r, pack, bench):
    t, current = r.current.time, r.current.values
    middles, row = [], []
    for instant in t:
        before, after = np.searchsorted(t, [instant - 0.4, instant + 0.4])
        if after == len(t) or t[after] > r.end:
            break
        if current[after] - current[before] >= 0.1 * r.load.current:
            row.append(instant)
        elif row:
            if row[-1] - row[0] >= 0.4:
                middles.append((row[0] + row[-1]) / 2)
            row = []

    found = []
    for at in [at for at in middles if at + 0.9 <= r.end]:
        sides = [(at - 0.9, at - 0.4), (at + 0.4, at + 0.9)]
        sides = [(a, b, slice(*np.searchsorted(t, [a, a + 0.5]))) for a, b in sides]
        if min(len(current[inside]) for _, _, inside in sides) < 4:
            continue
        amperes = [r.current.mean(a, a + 0.5) for a, _, _ in sides]
        risen = amperes[1] - amperes[0]
        if all(np.ptp(current[inside]) <= 0.2 * risen for _, _, inside in sides):
            found.append((at, sides, amperes))

    windows = [inside for _, sides, _ in found for _, _, inside in sides]
    nominal = pack["series"] * NOMINAL_VOLTS[pack["chemistry"]]
    u_volts = noise_of_mean(r.voltage.values, windows, half_width(bench["voltage"], nominal))
    u_amperes = noise_of_mean(current, windows, half_width(bench["current"], r.load.current))
    steps = []
    for at, sides, amperes in found:
        volts = [r.voltage.mean(a, a + 0.5) for a, _, _ in sides]
        risen = amperes[1] - amperes[0]
        ohm = (volts[0] - volts[1]) / risen
        squares = sum(u_volts(inside) ** 2 + (ohm * u_amperes(inside)) ** 2 for _, _, inside in sides)
        steps.append({"at": at, "level": sum(amperes) / 2, "ohm": ohm, "u": np.sqrt(squares) / risen})
    return steps


def half_width(accuracy, reading):
    return accuracy["percent"] / 100 * reading + accuracy["offset"]


def noise_of_mean(values, windows, stated):
    """Standard uncertainty of the mean over a window: noise from second differences, pooled, and the digits."""
    variances = [np.mean(np.diff(values[w], 2) ** 2) / 6 if len(values[w]) > 2 else 0 for w in windows]
    variance = np.mean(variances) if variances else 0
    changes = np.abs(np.diff(values))[:-1]
    changes = changes[changes > 1e-9 * np.abs(values[1:-1])]
    digits = min(changes.min(initial=np.inf), 2 * stated) / np.sqrt(12)
    return lambda w: np.hypot(np.sqrt(variance / len(values[w])), digits)
