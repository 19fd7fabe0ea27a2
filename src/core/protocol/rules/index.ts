import type { Rule } from "../rule.js";
import { AMBIENT_TEMPERATURE } from "./ambient-temperature.js";
import { CAPACITY_PLAUSIBLE } from "./capacity-plausible.js";
import { CELL_SPREAD } from "./cell-spread.js";
import { CELL_SPREAD_AT_REST } from "./cell-spread-at-rest.js";
import { CELL_VOLTAGE_PLAUSIBLE } from "./cell-voltage-plausible.js";
import { CHARGE_AGREES } from "./charge-agrees.js";
import { CHARGE_STATE_DECLARED } from "./charge-state-declared.js";
import { CURRENT_ACCURACY } from "./current-accuracy.js";
import { CURRENT_OFFSET } from "./current-offset.js";
import { CURRENT_ZERO } from "./current-zero.js";
import { CUTOFF_DEPTH } from "./cutoff-depth.js";
import { CUTOFF_REACHED } from "./cutoff-reached.js";
import { DISCHARGE_SIGN } from "./discharge-sign.js";
import { DUPLICATE_ROWS } from "./duplicate-rows.js";
import { ENERGY_AGREES } from "./energy-agrees.js";
import { FIRST_PULSE_LENGTH } from "./first-pulse-length.js";
import { FIRST_PULSE_LEVEL } from "./first-pulse-level.js";
import { FULL_CHARGE } from "./full-charge.js";
import { MAX_GAP } from "./largest-gap.js";
import { LOAD_HELD } from "./load-held.js";
import { LOAD_RATE } from "./load-rate.js";
import { LOAD_RISE } from "./load-rise.js";
import { LOAD_STEADY } from "./load-steady.js";
import { NOISE_FLOOR } from "./noise-floor.js";
import { POWER_AGREES } from "./power-agrees.js";
import { PROBES_PLAUSIBLE } from "./probes-plausible.js";
import { RECOVERY_LOGGED } from "./recovery-logged.js";
import { REPEATED_STRETCH } from "./repeated-stretch.js";
import { RESISTANCE_BY_LOAD } from "./resistance-by-load.js";
import { RESISTANCE_POSITIVE } from "./resistance-positive.js";
import { REST_AT_MOST } from "./rest-at-most.js";
import { REST_TIME } from "./rest-time.js";
import { ROWS_USABLE } from "./rows-usable.js";
import { SAMPLING_RATE } from "./sampling-rate.js";
import { SECOND_PULSE_LENGTH } from "./second-pulse-length.js";
import { SECOND_PULSE_LEVEL } from "./second-pulse-level.js";
import { SECOND_PULSE_RISE } from "./second-pulse-rise.js";
import { SENSE_AT_PACK } from "./sense-at-pack.js";
import { SENSE_KNOWN } from "./sense-known.js";
import { SENSOR_STUCK } from "./sensor-stuck.js";
import { SPECIFIC_ENERGY_PLAUSIBLE } from "./specific-energy-plausible.js";
import { SPIKES } from "./spikes.js";
import { STANDARD_LOAD } from "./standard-load.js";
import { START_ABOVE_AMBIENT } from "./start-above-ambient.js";
import { START_TEMPERATURE } from "./start-temperature.js";
import { STEP_ENDED } from "./step-ended.js";
import { TEMPERATURE_ACCURACY } from "./temperature-accuracy.js";
import { TEMPERATURE_FOLLOWS } from "./temperature-follows.js";
import { TEMPERATURE_LIMIT } from "./temperature-limit.js";
import { TEMPERATURE_LOGGED } from "./temperature-logged.js";
import { TEMPERATURE_WARNING } from "./temperature-warning.js";
import { TIME_RISES } from "./time-rises.js";
import { VOLTAGE_ACCURACY } from "./voltage-accuracy.js";
import { VOLTAGE_PLAUSIBLE } from "./voltage-plausible.js";

/** Every rule that a protocol may set. A new rule is one file, listed here. */
export const RULES: ReadonlyMap<string, Rule> = new Map(
  [
    AMBIENT_TEMPERATURE,
    CAPACITY_PLAUSIBLE,
    CELL_SPREAD,
    CELL_SPREAD_AT_REST,
    CELL_VOLTAGE_PLAUSIBLE,
    CHARGE_AGREES,
    CHARGE_STATE_DECLARED,
    CURRENT_ACCURACY,
    CURRENT_OFFSET,
    CURRENT_ZERO,
    CUTOFF_DEPTH,
    CUTOFF_REACHED,
    DISCHARGE_SIGN,
    DUPLICATE_ROWS,
    ENERGY_AGREES,
    FIRST_PULSE_LENGTH,
    FIRST_PULSE_LEVEL,
    FULL_CHARGE,
    MAX_GAP,
    LOAD_HELD,
    STANDARD_LOAD,
    LOAD_RATE,
    LOAD_RISE,
    LOAD_STEADY,
    NOISE_FLOOR,
    POWER_AGREES,
    PROBES_PLAUSIBLE,
    RECOVERY_LOGGED,
    REPEATED_STRETCH,
    RESISTANCE_BY_LOAD,
    RESISTANCE_POSITIVE,
    REST_AT_MOST,
    REST_TIME,
    ROWS_USABLE,
    SAMPLING_RATE,
    SECOND_PULSE_LENGTH,
    SECOND_PULSE_LEVEL,
    SECOND_PULSE_RISE,
    SENSE_AT_PACK,
    SENSE_KNOWN,
    SPECIFIC_ENERGY_PLAUSIBLE,
    SENSOR_STUCK,
    SPIKES,
    START_ABOVE_AMBIENT,
    START_TEMPERATURE,
    STEP_ENDED,
    TEMPERATURE_ACCURACY,
    TEMPERATURE_FOLLOWS,
    TEMPERATURE_LIMIT,
    TEMPERATURE_LOGGED,
    TEMPERATURE_WARNING,
    TIME_RISES,
    VOLTAGE_ACCURACY,
    VOLTAGE_PLAUSIBLE,
  ].map((rule) => [rule.id, rule]),
);
