"""Readings that a log repeats: docs/definitions.md, item 2a."""

import numpy as np

from channels import middles


def each_reading_once(samples):
    """The samples with each reading once, and the interval of new readings in s, or None where each row has its own."""
    time, volts, amperes = samples["time"], samples["voltage"], samples["current"]
    loaded = np.flatnonzero(amperes > 0.15 * middles(amperes).max())
    first, end = (loaded[0], loaded[-1] + 1) if len(loaded) else (0, 0)
    meters = {name: meter(time, samples[name], first, end) for name in ("voltage", "current")}
    known = [one for one in meters.values() if one is not None]
    if not known:
        return samples, None
    slow = known[-1] if known[-1]["interval"] > known[0]["interval"] else known[0]
    places, together = slow["readings"], False
    if len(known) == 2:
        fast = known[0] if slow is known[1] else known[1]
        shared = len(np.intersect1d(slow["changes"], fast["changes"]))
        together = slow["interval"] - fast["interval"] <= 0.1 * slow["interval"] and shared >= 0.7 * min(
            len(slow["changes"]), len(fast["changes"])
        )
        if together:
            places = united(time, slow, fast)
    once = {name: None if values is None else values[places] for name, values in samples.items()}
    if len(known) == 2 and not together:
        name = "voltage" if fast is meters["voltage"] else "current"
        once[name] = np.interp(time[places], time[fast["readings"]], samples[name][fast["readings"]])
    return once, slow["interval"]


def united(time, slow, fast):
    """The samples at which either meter has a new reading."""
    changed = set(slow["changes"]) | set(fast["changes"])
    places = []
    for at in sorted(set(slow["readings"]) | set(fast["readings"])):
        if not places or time[at] - time[places[-1]] >= 0.5 * slow["interval"]:
            places.append(at)
        elif at in changed and places[-1] not in changed:
            places[-1] = at
    return np.array(places)


def meter(time, values, first, end):
    """How a channel's meter reads: its interval, the samples whose value is new, and the first samples of all readings."""
    changes = np.flatnonzero(np.abs(np.diff(values)) > 1e-9 * np.maximum(1, np.abs(values[1:]))) + 1
    seen = changes[(changes > first) & (changes < end)]
    if len(seen) < 8 or end - first < 1.4 * len(seen):
        return None
    row, lasted = np.median(np.diff(time[first:end])), np.diff(time[seen])
    low = np.sort(lasted)[len(lasted) // 4]
    about = lasted[lasted <= max(low + 1.5 * row, 1.5 * low)].mean()
    interval = lasted.sum() / whole(lasted, about).sum()
    if not is_read(values, seen, lasted, interval, row):
        return None
    return {"interval": interval, "changes": changes, "readings": readings(time, changes, interval)}


def whole(lasted, interval):
    """How many intervals each time is: halves upwards."""
    return np.maximum(1, np.floor(lasted / interval + 0.5))


def is_read(values, seen, lasted, interval, row):
    if interval < 1.4 * row:
        return False
    off = np.abs(lasted - whole(lasted, interval) * interval)
    steps = np.abs(values[seen] - values[seen - 1])
    regular = (off <= row + 0.2 * interval).mean() >= 0.9
    if regular and jumps(values, seen, lasted, interval, steps) >= max(4, 0.5 * (len(seen) - 2)):
        return True
    near = row + 0.03 * interval
    strict = len(lasted) >= 16 and (off <= near).mean() >= 0.95
    grow = varies(seen, lasted, interval, steps)
    if strict and grow and (np.abs(lasted - interval) <= near).mean() >= 0.95:
        return True
    if not ((strict and interval >= 2.5 * row) or (regular and interval >= 8 * row and len(lasted) >= 32)):
        return False
    several = (whole(lasted, interval) > 1).mean()
    few = max(4, 0.15 * (len(seen) - 2))
    mixed = 0.1 <= several <= 0.9 and len(np.unique(values[seen])) >= 8
    return grow or mixed or jumps(values, seen, lasted, interval, steps) >= few


def between(lasted, least):
    """Places of the changes before and after which the reading stood for so long."""
    return np.flatnonzero((lasted[:-1] >= least) & (lasted[1:] >= least)) + 1


def jumps(values, seen, lasted, interval, steps):
    sizes = np.maximum(np.abs(values[seen]), np.abs(values[seen - 1]))
    decades = np.array([sum(size >= 10.0**power for power in range(1, 12)) for size in sizes])
    digit = {decade: steps[decades == decade].min() for decade in set(decades)}
    places = between(lasted, 0.6 * interval)
    return sum(steps[k] >= 2.5 * digit[decades[k]] for k in places)


def varies(seen, lasted, interval, steps):
    stood = steps[between(lasted, 0.75 * interval)]
    groups = stood[: len(stood) // 8 * 8].reshape(-1, 8).sum(axis=1)
    return len(groups) > 0 and groups.max() >= 2 * groups.min()


def readings(time, changes, interval):
    """The changes, and the first sample after each interval where a reading came out as the one before it."""
    places = []

    def add(instant):
        at = int(np.searchsorted(time, instant - 1e-6))
        if at < len(time) and (not places or at > places[-1]):
            places.append(at)

    start = time[changes[0]]
    for back in range(int((start - time[0]) // interval), 0, -1):
        add(start - back * interval)
    for k, at in enumerate(changes):
        is_last = k + 1 == len(changes)
        lasts = (time[-1] if is_last else time[changes[k + 1]]) - time[at]
        count = int(lasts // interval) + 1 if is_last else int(np.floor(lasts / interval + 0.5))
        every = interval if is_last or count == 0 else lasts / count
        if not places or at > places[-1]:
            places.append(int(at))
        for reading in range(1, count):
            add(time[at] + reading * every)
    return np.array(places)
