"""What the protocols ask for, per chemistry and as multiples of It. Common practice, no published source; the currents and times
of two pulses and of the rated capacity are those of IEC 61960-3, from memory."""

CUTOFF_VOLTS_PER_CELL = {
    "full-load": {"lipo": 3.3, "lihv": 3.4, "liion": 3.0, "lifepo4": 2.6},
    "current-ladder": {"lipo": 3.3, "lihv": 3.4, "liion": 3.0, "lifepo4": 2.6},
    "rated-capacity": {"lipo": 3.0, "lihv": 3.0, "liion": 2.75, "lifepo4": 2.5},
    "two-pulse": None,
}
TEMPERATURE_LIMIT_C = {"full-load": 60.0, "current-ladder": 60.0, "rated-capacity": 45.0, "two-pulse": 60.0}
ENDED_BY_TEMPERATURE = ("current-ladder",)

RATE_IT = {"rated-capacity": 0.2}
FIRST_PULSE_IT, SECOND_PULSE_IT, SECOND_PULSE_S = 0.2, 1.0, 1.0

# What each protocol's runs give, beside the full load's, which give all that is not from two pulses.
FIGURES = {
    "current-ladder": "current-mean capacity energy runtime voltage-10s power-10s resistance-10s "
    "resistance-10s-per-cell resistance-10s-times-it sag-10s temperature-rise time-to-limit specific-energy capacity-share",
    "rated-capacity": "capacity capacity-share energy specific-energy runtime current-mean temperature-rise time-to-limit",
    "two-pulse": "resistance-two-pulse resistance-two-pulse-per-cell resistance-two-pulse-times-it",
}


def gives(protocol, figure):
    if protocol == "full-load":
        return figure != "current-mean"
    return figure in FIGURES[protocol].split()
NOMINAL_VOLTS = {"lipo": 3.7, "lihv": 3.8, "liion": 3.6, "lifepo4": 3.2}
SETTLED_VOLTS = {"lipo": 4.2, "lihv": 4.35, "liion": 4.2, "lifepo4": 3.36}
