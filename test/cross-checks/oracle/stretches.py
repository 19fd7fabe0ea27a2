"""The run of a log that holds more: docs/definitions.md, item 6a."""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import trapezoid

from channels import between, middles
from reading import find_load


@dataclass
class Stretch:
    sign: int
    first: int
    last: int
    charge: float


def rows_on(time, signs):
    """(sign, first, last) of the rows of at least two samples that are on for 0.5 s or to the log's end."""
    bounds = np.concatenate([[0], np.flatnonzero(np.diff(signs)) + 1, [len(signs)]])
    for first, end in zip(bounds[:-1], bounds[1:]):
        lasts = end == len(signs) or time[end] - time[first] >= 0.5
        if signs[first] != 0 and end - first >= 2 and lasts:
            yield int(signs[first]), int(first), int(end) - 1


def stretches(time, current):
    smooth = middles(current)
    at_rest = find_load(time, current).at_rest
    level = 0.05 * (smooth.max() - at_rest)
    signs = np.where(smooth - at_rest > level, 1, np.where(np.maximum(smooth - at_rest, smooth) < -level, -1, 0))
    charge = lambda first, last: abs(float(trapezoid(smooth[first : last + 1], time[first : last + 1])))
    found = []
    for sign, first, last in rows_on(time, signs):
        drawn, before = charge(first, last), found[-1] if found else None
        if before is not None and before.sign == sign:
            if before.charge < 0.01 * drawn:
                is_one = time[first - 1] - time[before.last + 1] < 0.5
            else:
                is_one = time[first] - time[before.last] < 2
            if is_one:
                found[-1] = Stretch(sign, before.first, last, charge(before.first, last))
                continue
        found.append(Stretch(sign, first, last, drawn))
    return found


def run_of(samples, number):
    """The samples of the run, which is the discharge of this number, or the only one that can be it when there is no number."""
    found = stretches(samples["time"], samples["current"])
    discharges = [one for one in found if one.sign > 0]
    run = max(discharges, key=lambda one: one.charge) if number is None else discharges[number - 1]
    if number is None and sum(one.charge >= 0.1 * run.charge for one in discharges) > 1:
        raise ValueError("which discharge is the run is not known")
    at = next(i for i, one in enumerate(found) if one is run)
    first = found[at - 1].last + 1 if at > 0 else 0
    end = found[at + 1].first if at + 1 < len(found) else len(samples["time"])
    return between(samples, first, end)
