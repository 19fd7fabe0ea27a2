"""Figures under the run's own load: docs/definitions.md, last table."""

from types import SimpleNamespace

import numpy as np

from channels import Line
from constant import two_pulses
from protocols import TEMPERATURE_LIMIT_C, gives
from reading import cutoff_crossing
from translation import translations

LOWER_BOUNDS_WITHOUT_CUTOFF = {
    "capacity",
    "energy",
    "runtime",
    "specific-energy",
    "capacity-share",
    "temperature-rise",
}

# What a log that begins under load does not tell, and what it tells only a lower bound of.
FROM_AN_ONSET = ("-peak", "-10s", "-30s")
LOWER_BOUNDS_WITHOUT_ONSET = LOWER_BOUNDS_WITHOUT_CUTOFF | {"time-to-limit"}

UNITS = {
    "power": "W",
    "voltage": "V",
    "current": "A",
    "capacity": "mAh",
    "energy": "Wh",
    "runtime": "s",
    "current-mean": "A",
    "resistance": "mohm",
    "sag-10s": "V",
    "hold-30s": "ratio",
    "temperature-rise": "K",
    "time-to-limit": "s",
    "specific-energy": "Wh/kg",
    "specific-power-10s": "W/kg",
    "capacity-share": "ratio",
}


def values(r, pack, limit_c):
    """Figure values by key; a figure whose inputs were not logged or not reached is absent."""
    found = {}
    channels = {"power": r.power, "voltage": r.voltage, "current": r.current}

    def mark(name, a, b):
        for channel, line in channels.items():
            found[f"{channel}-{name}"] = line.mean(a, b)

    best = r.power.largest_mean(0.5, 0, min(4.5, r.end - 0.5))
    if best is not None:
        mark("peak", best[0], best[0] + 0.5)
    for seconds in (10, 30):
        if r.end >= seconds + 0.5:
            mark(f"{seconds}s", seconds - 0.5, seconds + 0.5)
    if r.cutoff is not None and r.cutoff >= 0.5:
        mark("cutoff", r.cutoff - 0.5, r.cutoff)

    found["capacity"] = r.current.integral(0, r.end) / 3.6
    found["energy"] = r.power.integral(0, r.end) / 3600
    found["runtime"] = r.end
    found["current-mean"] = r.current.integral(0, r.end) / r.end
    found["capacity-share"] = found["capacity"] / pack["ratedCapacityMah"]

    if r.rest_voltage is not None:
        for seconds in (1, 10):
            a, b = seconds - 0.5, seconds + 0.5
            if r.end >= b:
                fall = r.rest_voltage - r.voltage.mean(a, b)
                ohm = fall / r.current.mean(a, b)
                found[f"resistance-{seconds}s"] = 1000 * ohm
                found[f"resistance-{seconds}s-per-cell"] = 1000 * ohm / pack["series"]
                found[f"resistance-{seconds}s-times-it"] = ohm / pack["series"] * pack["ratedCapacityMah"] / 1000
        if "voltage-10s" in found:
            found["sag-10s"] = (r.rest_voltage - found["voltage-10s"]) / pack["series"]
    if "power-30s" in found and "power-peak" in found:
        found["hold-30s"] = found["power-30s"] / found["power-peak"]

    if pack["massGrams"] is not None:
        kilograms = pack["massGrams"] / 1000
        found["specific-energy"] = found["energy"] / kilograms
        if "power-10s" in found:
            found["specific-power-10s"] = found["power-10s"] / kilograms

    if r.temperature is not None:
        warmest = r.temperature.largest_mean(1, 0, r.end - 1)
        if warmest is not None:
            found["temperature-rise"] = warmest[1] - r.start_temperature
        reached = time_to_limit(r, limit_c)
        if reached is not None:
            found["time-to-limit"] = reached

    pulses = two_pulses(r, pack)
    if "u1" in pulses and "u2" in pulses:
        ohm = (pulses["u1"] - pulses["u2"]) / (pulses["i2"] - pulses["i1"])
        found["resistance-two-pulse"] = 1000 * ohm
        found["resistance-two-pulse-per-cell"] = 1000 * ohm / pack["series"]
        found["resistance-two-pulse-times-it"] = ohm / pack["series"] * pack["ratedCapacityMah"] / 1000
    return found


def time_to_limit(r, limit_c):
    if r.temperature.at(0) >= limit_c:
        return 0.0
    later = [t for t in r.temperature.upward_crossings(limit_c) if 0 <= t <= r.end]
    return later[0] if later else None


def unit(key):
    if key.endswith("-times-it"):
        return "V"
    return UNITS.get(key) or UNITS[key.split("-")[0]]


def figures(r, pack, protocol):
    corrected = (r.offset_subtracted and r.offset != 0) or r.sense_ohm > 0
    result = {}
    for key, value in sorted(values(r, pack, TEMPERATURE_LIMIT_C[protocol]).items()):
        if not gives(protocol, key):
            continue
        unseen = r.load.rise is None
        if unseen and key.endswith(FROM_AN_ONSET):
            continue
        bounded = r.cutoff is None and key in LOWER_BOUNDS_WITHOUT_CUTOFF
        bounded = bounded or (unseen and key in LOWER_BOUNDS_WITHOUT_ONSET)
        result[key] = {
            "value": float(np.float64(value)),
            "unit": unit(key),
            "basis": "corrected" if corrected else "measured",
            "bound": "lower" if bounded else "none",
        }
    return result


def under_standard_loads(r, pack, protocol):
    """Figures by load and key, after "Figures under standard loads"."""
    result = {}
    for load, voltage, current, level in translations(r, pack, protocol):
        end = float(voltage.time[-1])
        cutoff = cutoff_crossing(voltage, 0.0, end, level)
        power = Line(voltage.time, voltage.values * current.values)
        moved = SimpleNamespace(
            voltage=voltage,
            current=current,
            power=power,
            temperature=None,
            end=end if cutoff is None else cutoff,
            cutoff=cutoff,
            rest_voltage=r.rest_voltage,
            load_end=end,
        )
        kept = {
            key: value
            for key, value in values(moved, pack, None).items()
            if gives(protocol, key) and not key.endswith(("-cutoff", "-times-it")) and key != "capacity-share"
        }
        result[f"{load:g}"] = {
            key: {
                "value": float(value),
                "unit": unit(key),
                "bound": "lower" if cutoff is None and key in LOWER_BOUNDS_WITHOUT_CUTOFF else "none",
            }
            for key, value in sorted(kept.items())
        }
    return result
