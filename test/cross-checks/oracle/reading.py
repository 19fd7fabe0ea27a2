"""Onset, rest, zero, sense, load phase and cutoff: docs/definitions.md, items 7 to 18 with 11a."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from channels import Line, middles
from protocols import CUTOFF_VOLTS_PER_CELL, ENDED_BY_TEMPERATURE, TEMPERATURE_LIMIT_C
from spikes import mended


@dataclass
class Load:
    current: float
    at_rest: float
    onset: float
    t10: Optional[float]
    rise: Optional[float]


@dataclass
class Reading:
    """Channels with the time from onset, and what was found on the way."""

    logged_voltage: np.ndarray
    logged_current: np.ndarray
    voltage: Line
    current: Line
    power: Line
    temperature: Optional[Line]
    samples: int
    rate_hz: float
    load: Load
    offset: Optional[float]
    offset_subtracted: bool
    sense_ohm: float
    rest_voltage: Optional[float]
    start_temperature: Optional[float]
    load_end: float
    cutoff: Optional[float]
    stop: str
    spikes_mended: int
    spikes_left: int

    @property
    def end(self):
        return self.load_end if self.cutoff is None else self.cutoff


def loaded_index(time, current, level):
    """Index of the first sample of a stretch of 0.5 s above a level."""
    for index in np.flatnonzero(current > level):
        stretch = (time >= time[index]) & (time < time[index] + 0.5)
        if (current[stretch] > level).all():
            return index
    raise ValueError("no load")


def reading_at_rest(time, current, loaded, largest):
    before = np.arange(len(time)) < loaded
    near = before & (time >= time[loaded] - 3)
    minute = before & (time >= time[loaded] - 60)
    if near.sum() < 2:
        near = minute & (np.arange(len(time)) >= loaded - 2)
    values = current[near & (current <= 0.15 * largest)]
    if len(values) == 0:
        return 0.0
    last = float(np.median(values))
    t, y = time[minute], current[minute]
    changes = np.abs(np.diff(y))
    typical = float(np.median(changes)) if len(changes) else 0.0
    everywhere = np.abs(np.diff(current))
    moved = everywhere[everywhere > 0]
    digit = float(moved.min()) if len(moved) >= 10 else 0.0
    apart = max(0.01 * largest, 3 * typical, 2 * digit)
    still = stillest_reading(t, y)
    if still is None or abs(still) >= abs(last) or abs(last - still) <= apart:
        return last
    rest = y[np.abs(y - still) <= max(0.005 * largest, 6 * typical, digit)]
    return float(np.median(rest)) if len(rest) else last


def stillest_reading(t, y):
    """The median nearest to nothing of the blocks of one second, and of two samples at least."""
    found, first = None, 0
    while first < len(t):
        end = max(first + 2, int(np.searchsorted(t, t[first] + 1)))
        if end > len(t):
            break
        level = float(np.median(y[first:end]))
        found = level if found is None or abs(level) < abs(found) else found
        first = max(first + 1, int(np.searchsorted(t, t[first] + 0.5)))
    return found


def find_load(time, current, at_rest=None):
    largest = middles(current).max()
    loaded = loaded_index(time, current, 0.15 * largest)
    if at_rest is None:
        at_rest = reading_at_rest(time, current, loaded, largest)
    least = at_rest + 0.05 * (largest - at_rest)
    may_begin = (time[:loaded] >= time[loaded] - 1) | (np.arange(loaded) == loaded - 1)
    weak = np.flatnonzero(~((current[:loaded] > least) & may_begin))
    first = int(weak[-1]) + 1 if len(weak) else 0
    within = (time >= time[first]) & (time < time[first] + 5) & (current > least)
    high = float(np.median(current[within]))
    level = lambda share: at_rest + share * (high - at_rest)
    line = Line(time, current)
    since = time[max(first - 1, 0)]
    from_load = lambda y: [t for t in line.upward_crossings(y) if t >= since][0]
    onset = float(time[0]) if first == 0 and current[0] >= level(0.5) else from_load(level(0.5))
    if current[0] >= level(0.1) and (current[: first + 1] >= level(0.1)).all():
        return Load(high, at_rest, onset, None, None)
    t90 = from_load(level(0.9))
    t10 = [t for t in line.upward_crossings(level(0.1)) if t <= t90][-1]
    return Load(high, at_rest, onset, t10, t90 - t10)


def current_zero(time, current, load, stated):
    """The median of the rest and whether it is known: item 10."""
    if load.t10 is None:
        return None, False
    recent = (time >= load.t10 - 60) & (time < load.t10)
    changes = np.abs(np.diff(current[recent]))
    width = max(0.005 * (load.current - load.at_rest), 6 * np.median(changes) if len(changes) else 0)
    rest = recent & (np.abs(current - load.at_rest) <= width)
    if rest.sum() < 1 or time[rest][-1] - time[rest][0] < 1:
        return None, False
    values = current[rest]
    offset = float(np.median(values))
    u = median_uncertainty(values, smallest_change(current))
    known = abs(offset) <= max(stated["offset"], 0.02 * load.current) + 2 * u
    half = len(values) // 2
    if not known and half and abs(np.median(values[half:]) - np.median(values[:half])) > 0.5 * width:
        return None, False
    return offset, known


def smallest_change(values):
    changes = np.abs(np.diff(values))
    changes = changes[changes > 1e-9 * np.maximum(1, np.abs(values[1:]))]
    return changes.min() if len(changes) >= 10 else np.inf


def median_uncertainty(values, digit):
    """By the noise of the values, from second differences, and by the log's digits where the noise does not average them."""
    bends = np.diff(values, 2)
    deviation = np.sqrt(np.mean(bends**2) / 6) if len(bends) else 0.0
    digits = 0.0 if deviation > digit / 2 or np.isinf(digit) else digit / np.sqrt(12)
    return float(np.hypot(np.sqrt(np.pi / 2) * deviation / np.sqrt(len(values)), digits))


def sense_ohm(sense):
    if sense["point"] == "pack":
        return 0.0
    if sense.get("resistanceMilliohm") is not None:
        return sense["resistanceMilliohm"] / 1000
    # ASTM B258 (the formula from memory); annealed copper at 20 degC, IEC 60028.
    diameter_mm = 0.127 * 92 ** ((36 - sense["gaugeAwg"]) / 39)
    return 2 * (sense["lengthMm"] / 1000) * (1 / 58) / (np.pi * diameter_mm**2 / 4)


def load_phase_end(time, current, load):
    """Index of the last sample of the load phase."""
    weak = (current < 0.1 * load.current) & (time > load.onset)
    index = 0
    while index < len(time):
        if not weak[index]:
            index += 1
            continue
        last = index
        while last + 1 < len(time) and weak[last + 1]:
            last += 1
        if last == len(time) - 1 or time[last] - time[index] >= 0.5:
            return index - 1
        index = last + 1
    return len(time) - 1


def last_sagging(time, voltage, current, last):
    """Index of the last sample whose voltage has not begun to recover: item 15."""
    if last + 1 >= len(voltage):
        return last
    near = np.flatnonzero((time >= time[last] - 2) & (np.arange(len(time)) <= last))
    lowest = int(near[voltage[near] == voltage[near].min()][-1])
    falls = current[last] < 0.9 * current[lowest]
    recovered = voltage[last + 1]
    while last > 0:
        before = voltage[last - 1]
        if not (recovered > before and voltage[last] - before > 0.25 * (recovered - before)):
            break
        last -= 1
    return min(last, lowest) if falls else last


def change_by_next(time, values, at):
    """Change over the last 10 s under load, carried on to the next sample."""
    first = min(int(np.searchsorted(time, max(0, time[at] - 10))), at - 1)
    step = time[at + 1] - time[at] if at + 1 < len(time) else time[at] - time[at - 1]
    return 0.0 if first < 0 else (values[at] - values[first]) / (time[at] - time[first]) * step


def below_limit(time, temperature, last, limit):
    """How far below the limit the temperature stayed, with one more sample's rise."""
    if temperature is None:
        return np.inf
    return limit - temperature[last : last + 2].max() - max(0.0, change_by_next(time, temperature, last))


def cutoff_crossing(voltage, onset, end, level):
    """Begin of the first stretch at or below `level` that lasts 0.5 s or to the end of the load phase."""
    inside = (voltage.time > onset) & (voltage.time < end)
    t = np.concatenate([[onset], voltage.time[inside], [end]])
    v = np.array([voltage.at(x) for x in t])
    began = float(onset) if v[0] <= level else None
    for i in range(1, len(t)):
        instant = None
        if (v[i - 1] > level) != (v[i] > level):
            instant = float(t[i - 1] + (v[i - 1] - level) / (v[i - 1] - v[i]) * (t[i] - t[i - 1]))
        if began is None:
            began = instant
        elif instant is not None:
            if instant - began >= 0.5:
                return began
            began = None
    return began


def stop_reason(time, current, temperature, load, last, temperature_limit, probe):
    loaded = (time >= load.onset) & (time <= time[last])
    if temperature is not None and temperature[loaded].max() >= temperature_limit:
        return "temperature-limit"
    if probe is not None and below_limit(time - load.onset, temperature, last, temperature_limit) <= probe:
        return "temperature-limit"
    if last == len(time) - 1:
        return "log-end"
    return "load-lost" if (current[last + 1 :] >= load.current / 2).any() else "operator"


def just_before(time, current, load):
    """Samples of the rest from which V0 and T0 are taken."""
    t10 = load.t10
    if t10 is None:
        return np.zeros(len(time), bool)
    near = last_second(time, np.flatnonzero(time < t10), t10, t10)
    minute = (time >= t10 - 60) & (time < t10)
    changes = np.abs(np.diff(current[minute]))
    width = max(0.005 * (load.current - load.at_rest), 6 * np.median(changes) if len(changes) else 0)
    rests = np.abs(current - load.at_rest) <= width
    if near.sum() < 2 or (near & ~rests).sum() <= 0.25 * near.sum() or not (rests & minute).any():
        return near
    last = np.flatnonzero(rests & minute)[-1]
    return last_second(time, np.arange(last + 1), time[last], t10)


def last_second(time, places, instant, t10):
    near = np.zeros(len(time), bool)
    near[places] = time[places] >= instant - 1
    if near.sum() < 2:
        near[:] = False
        last_two = places[-2:]
        near[last_two] = len(last_two) == 2 and time[last_two[0]] >= t10 - 60
    return near


def part_read(time, current, load):
    """First and last (exclusive) sample of the part that is read: item 18a."""
    first = int(np.searchsorted(time, (load.onset if load.t10 is None else load.t10) - 60))
    last = load_phase_end(time, current, load)
    return first, int(np.searchsorted(time, time[last] + 10))


def is_silent(time, temperature, part):
    """Whether the probe is silent for more than 10 s in a row: item 3."""
    t, known = time[part[0] : part[1]], np.isfinite(temperature[part[0] : part[1]])
    ends = np.concatenate([[t[0]], t[known], [t[-1]]])
    places = np.concatenate([[-1], np.flatnonzero(known), [len(t)]])
    missing = np.diff(places) > 1
    return bool((np.diff(ends)[missing] > 10).any())


def read(samples, pack, bench, protocol):
    load = find_load(samples["time"], samples["current"])
    near = just_before(samples["time"], samples["current"], load)
    rest_as_logged = float(np.median(samples["voltage"][near])) if near.sum() >= 2 else None
    part = part_read(samples["time"], samples["current"], load)
    if samples["temperature"] is not None and is_silent(samples["time"], samples["read_temperature"], part):
        samples = {**samples, "temperature": None}
    samples, spikes_mended, spikes_left = mended(samples, load, rest_as_logged, part)
    time, current, temperature = samples["time"], samples["current"], samples["temperature"]

    load = find_load(time, current)
    offset, known = current_zero(time, current, load, bench["current"])
    if known:
        current = current - offset
        load = find_load(time, current, 0.0)
    subtracted = known and offset != 0

    ohm = sense_ohm(bench["sense"])
    voltage = samples["voltage"] + current * ohm

    rest_voltage = None
    start_temperature = None
    near = just_before(time, current, load)
    if near.sum() >= 2:
        rest_voltage = float(np.median(voltage[near]))
    if temperature is not None:
        at_onset = temperature[near] if near.sum() >= 2 else temperature[time >= load.onset][:1]
        start_temperature = float(np.median(at_onset))

    last = load_phase_end(time, current, load)
    cutoff = None
    limit = TEMPERATURE_LIMIT_C[protocol]
    probe = (bench["temperature"] or {"offset": 0.0})["offset"] if protocol in ENDED_BY_TEMPERATURE else None
    if CUTOFF_VOLTS_PER_CELL[protocol]:
        level = pack["series"] * CUTOFF_VOLTS_PER_CELL[protocol][pack["chemistry"]]
        sagging = last_sagging(time, voltage, current, last)
        cutoff = cutoff_crossing(Line(time, voltage), load.onset, time[sagging], level)
        full = int(np.flatnonzero(current[: sagging + 1] >= 0.7 * load.current)[-1])
        above = voltage[full] - level
        fall = 0.0
        if 0 < full < len(time) - 1:
            slope = (voltage[full - 1] - voltage[full]) / (time[full] - time[full - 1])
            fall = slope * (time[full + 1] - time[full])
        if cutoff is None and last < len(time) - 1 and above - max(0.0, fall) <= 0.02 * pack["series"]:
            below = np.inf if probe is None else below_limit(time - load.onset, temperature, last, limit)
            if not (below <= 0 or (probe is not None and below <= probe and above > fall)):
                cutoff = float(time[full])
    early = stop_reason(time, current, temperature, load, last, limit, probe)
    stop = "cutoff" if cutoff is not None else early

    t = time - load.onset
    end = (float(time[last]) if cutoff is None else cutoff) - load.onset
    within = np.flatnonzero((t >= 0) & (t < end))
    return Reading(
        logged_voltage=samples["voltage"],
        logged_current=samples["current"],
        voltage=Line(t, voltage),
        current=Line(t, current),
        power=Line(t, voltage * current),
        temperature=None if temperature is None else Line(t, temperature),
        samples=len(t),
        rate_hz=float(np.median(1 / np.diff(time[within[0] : within[-1] + 2]))),
        load=load,
        offset=offset,
        offset_subtracted=subtracted,
        sense_ohm=float(ohm),
        rest_voltage=rest_voltage,
        start_temperature=start_temperature,
        load_end=float(t[last]),
        cutoff=None if cutoff is None else cutoff - load.onset,
        stop=stop,
        spikes_mended=spikes_mended,
        spikes_left=spikes_left,
    )
