"""Spikes: docs/definitions.md, item 11a."""

import numpy as np


def spikes(time, values, least):
    """(first, end) of the stretches of one to three samples that stand off their eight neighbours, with sign and jump."""
    found = []
    i = 4
    while i <= len(values) - 5:
        spike = spike_at(time, values, i, least)
        if spike:
            found.append(spike)
        i = spike[1] if spike else i + 1
    return found


def spike_at(time, values, first, least):
    for end in range(first + 1, min(first + 3, len(values) - 4) + 1):
        if time[end] - time[first - 1] > 10:
            return None
        beside = np.concatenate([values[first - 4 : first], values[end : end + 4]])
        inside = values[first:end]
        for sign, jump in ((1, inside.min() - beside.max()), (-1, beside.min() - inside.max())):
            if jump > least and np.ptp(beside) <= jump / 4:
                return first, end, sign, jump
    return None


def unanswered(other, spike, ohm_or_siemens):
    first, end, sign, jump = spike
    near = -sign * other[first - 1 : end + 1]
    far = -sign * np.concatenate([other[first - 4 : first - 1], other[end + 1 : end + 4]])
    return near.max() - far.min() < jump * ohm_or_siemens / 10


def mended(samples, load, rest_voltage, part):
    """The samples with their spikes mended, and how many spiked samples there were in the part read: (mended, left)."""
    time, voltage, current = samples["time"], samples["voltage"], samples["current"]
    found = {}
    if rest_voltage is not None:
        within = (time >= load.onset) & (time < load.onset + 5) & (current >= load.current / 2)
        answer = (rest_voltage - float(np.median(voltage[within]))) / load.current
        if answer > 0:
            volts, amperes = max(0.25, 0.02 * rest_voltage), max(1, 0.1 * load.current)
            of_voltage = spikes(time, voltage, max(volts, amperes * answer))
            of_current = spikes(time, current, max(amperes, volts / answer))
            found["voltage"] = [s for s in of_voltage if unanswered(current, s, 1 / answer)]
            found["current"] = [s for s in of_current if unanswered(voltage, s, answer)]
    if samples["temperature"] is not None:
        found["temperature"] = spikes(time, samples["temperature"], 5)

    found = {channel: [s for s in those if part[0] <= s[0] < part[1]] for channel, those in found.items()}
    single = {channel: [a for a, b, *_ in those if b - a == 1] for channel, those in found.items()}
    places = {i for those in single.values() for i in those}
    wide = {i for those in found.values() for a, b, *_ in those if b - a > 1 for i in range(a, b)}
    if len(places) > max(1, (part[1] - part[0]) / 1000):
        return samples, 0, len(places | wide)
    changed = dict(samples)
    for channel, those in single.items():
        values = samples[channel].copy()
        for i in those:
            values[i] = np.interp(time[i], time[[i - 1, i + 1]], values[[i - 1, i + 1]])
        changed[channel] = values
    return changed, len(places), len(wide)
