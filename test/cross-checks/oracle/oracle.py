"""Figures of one log, computed from docs/definitions.md alone, independently of src/core.

    python3 oracle.py LOG.csv METADATA.json > RESULT.json

Pinned in requirements.txt: numpy==1.24.2, scipy==1.10.1.
"""

import json
import sys

from channels import read_samples
from constant import observed
from figures import figures, under_standard_loads
from plausible import noise_floor, resistance_by_load
from reading import read
from repeats import each_reading_once
from stretches import run_of


def evaluate(log_path, metadata):
    pack, protocol = metadata["pack"], metadata["protocol"]["key"]
    samples, discharge = read_samples(log_path), metadata.get("discharge")
    if protocol != "two-pulse" or discharge is not None:
        samples = run_of(samples, discharge)
    samples, interval = each_reading_once(samples)
    reading = read(samples, pack, metadata["bench"], protocol)
    return {
        "trace": {
            "samples": reading.samples,
            "rateHz": reading.rate_hz if interval is None else 1 / interval,
            "durationS": reading.load_end,
            "cutoffS": reading.cutoff,
            "stop": reading.stop,
        },
        "onsetLogS": reading.load.onset,
        "loadCurrentA": reading.load.current,
        "riseS": reading.load.rise,
        "currentOffsetA": reading.offset,
        "currentOffsetSubtracted": reading.offset_subtracted,
        "senseMilliohm": reading.sense_ohm * 1000,
        "restVoltageV": reading.rest_voltage,
        "startTemperatureC": reading.start_temperature,
        "spikesMended": reading.spikes_mended,
        "spikesLeft": reading.spikes_left,
        "observed": observed(reading, pack, protocol, metadata["conditions"]["setpointA"])
        | plausibility(reading, pack, protocol, metadata["bench"]),
        "figures": figures(reading, pack, protocol),
        "translated": under_standard_loads(reading, pack, protocol),
    }


def plausibility(reading, pack, protocol, bench):
    """What rules of plausibility observe, by rule; absent where not assessable."""
    found = {"noise-floor": noise_floor(reading)}
    if protocol in ("full-load", "two-pulse"):
        found["resistance-by-load"] = resistance_by_load(reading, pack, bench)
    return {rule: value for rule, value in found.items() if value is not None}


def as_json(result):
    """Numbers at full double precision."""
    return json.dumps(result, indent=2, allow_nan=False) + "\n"


if __name__ == "__main__":
    with open(sys.argv[2], encoding="utf-8") as file:
        sys.stdout.write(as_json(evaluate(sys.argv[1], json.load(file))))
