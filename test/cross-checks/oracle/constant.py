"""Two pulses and constant currents: docs/definitions.md, items 23 to 26."""

import numpy as np

from channels import Line
from protocols import FIRST_PULSE_IT, RATE_IT, SECOND_PULSE_IT, SECOND_PULSE_S
from reading import last_sagging


def two_pulses(r, pack):
    """Both pulses' lengths, currents and voltages, and the rise of the second; None for what the log does not give."""
    it = pack["ratedCapacityMah"] / 1000
    found = {}
    t, current = r.current.time, r.current.values
    middle = (FIRST_PULSE_IT + SECOND_PULSE_IT) / 2 * it
    starts = [
        at
        for at in r.current.upward_crossings(middle)
        if 0 <= at and at <= r.load_end and stays(t, current, np.searchsorted(t, at), middle)
    ]
    if not starts:
        return found
    t2 = starts[0]
    from_t2 = int(np.searchsorted(t, t2))
    found["first_length"] = t2
    if t2 >= 0.7:
        found["u1"], found["i1"] = r.voltage.mean(t2 - 0.6, t2 - 0.1), r.current.mean(t2 - 0.6, t2 - 0.1)
    level = float(np.median(current[from_t2:][t[from_t2:] < t[from_t2] + 0.5]))
    last = last_held(current, from_t2, 0.9 * level)
    later = [at for at in downward_crossings(r.current, level / 2) if at > t[last]]
    found["second_length"] = (later[0] if later else float(t[-1])) - t2
    if found["second_length"] + (t[last] - t[last - 1]) / 2 >= 0.98 * SECOND_PULSE_S:
        end = min(t2 + SECOND_PULSE_S, t[last], t[last_sagging(t, r.voltage.values, r.current.values, last)])
        found["u2"], found["i2"] = r.voltage.mean(end - 0.1, end), r.current.mean(end - 0.1, end)
    if "i1" in found:
        low, high = (found["i1"] + share * (level - found["i1"]) for share in (0.1, 0.9))
        tops = [at for at in r.current.upward_crossings(high) if at >= t[from_t2 - 1]]
        feet = [at for at in r.current.upward_crossings(low) if at <= tops[0]]
        found["rise"] = tops[0] - feet[-1]
    return found


def stays(time, current, first, level):
    return (current[first:][time[first:] < time[first] + 0.3] >= level).all()


def last_held(current, first, level):
    reached = first + int(np.argmax(current[first:] >= level))
    below = np.flatnonzero(current[reached:] < level)
    return reached + int(below[0]) - 1 if len(below) else len(current) - 1


def downward_crossings(line, level):
    return Line(line.time, -line.values).upward_crossings(-level)


def observed(r, pack, protocol, setpoint):
    """What the rules on pulses and constant currents observe, by rule; absent where not assessable."""
    it = pack["ratedCapacityMah"] / 1000
    if protocol == "two-pulse":
        p = two_pulses(r, pack)
        result = {
            "first-pulse-length": p.get("first_length"),
            "second-pulse-length": p.get("second_length"),
            "second-pulse-rise": p.get("rise"),
            "first-pulse-level": percent_off(p.get("i1"), FIRST_PULSE_IT * it),
            "second-pulse-level": percent_off(p.get("i2"), SECOND_PULSE_IT * it),
        }
        return {rule: value for rule, value in result.items() if value is not None}
    if protocol == "full-load":
        return {}
    mean = r.current.mean(0, r.end)
    if protocol == "rated-capacity":
        steady = departure(r, mean)
        return {"load-rate": percent_off(mean, RATE_IT[protocol] * it), "load-steady": steady}
    return {"load-steady": departure(r, setpoint)}


def percent_off(value, wanted):
    return None if value is None else 100 * abs(value / wanted - 1)


def departure(r, wanted):
    first = (r.load.rise or 0) + 1
    starts = [first + k for k in range(int(np.floor(r.end - 1 - first)))]
    departures = sorted(percent_off(r.current.mean(s, s + 1), wanted) for s in starts)
    return departures[int(np.ceil(0.99 * len(departures))) - 1]
