"""Onset, rest, zero, sense, load phase and cutoff: docs/definitions.md, items 7 to 18 with 11a."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from channels import Line
from protocols import CUTOFF_VOLTS_PER_CELL, TEMPERATURE_LIMIT_C
from spikes import mended


@dataclass
class Load:
    current: float
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


def load_begun(time, current):
    """Index of the first sample of a stretch of 0.5 s above 5 % of the largest median of three neighbours."""
    padded = np.concatenate([current[:1], current, current[-1:]])
    level = 0.05 * np.median(np.stack([padded[:-2], padded[1:-1], padded[2:]]), axis=0).max()
    for index in np.flatnonzero(current > level):
        stretch = (time >= time[index]) & (time < time[index] + 0.5)
        if (current[stretch] > level).all():
            return index
    raise ValueError("no load")


def find_load(time, current):
    first = load_begun(time, current)
    within = (time >= time[first]) & (time < time[first] + 5)
    high = float(np.median(current[within]))
    line = Line(time, current)
    since = time[max(first - 1, 0)]
    from_load = lambda level: [t for t in line.upward_crossings(level) if t >= since][0]
    onset = float(time[0]) if first == 0 and current[0] >= high / 2 else from_load(high / 2)
    if current[0] >= 0.1 * high and (current[: first + 1] >= 0.1 * high).all():
        return Load(high, onset, None, None)
    t90 = from_load(0.9 * high)
    t10 = [t for t in line.upward_crossings(0.1 * high) if t <= t90][-1]
    return Load(high, onset, t10, t90 - t10)


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


def stop_reason(time, current, temperature, load, last, temperature_limit):
    loaded = (time >= load.onset) & (time <= time[last])
    if temperature is not None and temperature[loaded].max() >= temperature_limit:
        return "temperature-limit"
    if last == len(time) - 1:
        return "log-end"
    return "load-lost" if (current[last + 1 :] >= load.current / 2).any() else "operator"


def just_before(time, t10):
    """Samples of the rest from which V0 and T0 are taken."""
    near = np.zeros(len(time), bool) if t10 is None else (time >= t10 - 1) & (time < t10)
    if t10 is not None and near.sum() < 2:
        last_two = np.flatnonzero(time < t10)[-2:]
        near[last_two] = len(last_two) == 2 and time[last_two[0]] >= t10 - 60
    return near


def read(samples, pack, bench, protocol):
    load = find_load(samples["time"], samples["current"])
    near = just_before(samples["time"], load.t10)
    rest_as_logged = float(np.median(samples["voltage"][near])) if near.sum() >= 2 else None
    samples, spikes_mended, spikes_left = mended(samples, load, rest_as_logged)
    time, current, temperature = samples["time"], samples["current"], samples["temperature"]

    load = find_load(time, current)
    offset, subtracted = None, False
    if load.t10 is not None:
        rest = time < load.t10
        if rest.any() and time[rest][-1] - time[rest][0] >= 1:
            offset = float(np.median(current[rest]))
            subtracted = abs(offset) <= 0.02 * load.current
    if subtracted:
        current = current - offset
        load = find_load(time, current)

    ohm = sense_ohm(bench["sense"])
    voltage = samples["voltage"] + current * ohm

    rest_voltage = None
    start_temperature = None
    near = just_before(time, load.t10)
    if near.sum() >= 2:
        rest_voltage = float(np.median(voltage[near]))
    if temperature is not None:
        at_onset = temperature[near] if near.sum() >= 2 else temperature[time >= load.onset][:1]
        start_temperature = float(np.median(at_onset))

    last = load_phase_end(time, current, load)
    cutoff = None
    if CUTOFF_VOLTS_PER_CELL[protocol]:
        level = pack["series"] * CUTOFF_VOLTS_PER_CELL[protocol][pack["chemistry"]]
        cutoff = cutoff_crossing(Line(time, voltage), load.onset, time[last], level)
        full = np.flatnonzero(current[: last + 1] >= 0.7 * load.current)[-1]
        if cutoff is None and last < len(time) - 1 and voltage[full] - level <= 0.02 * pack["series"]:
            cutoff = float(time[full])
    early = stop_reason(time, current, temperature, load, last, TEMPERATURE_LIMIT_C[protocol])
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
