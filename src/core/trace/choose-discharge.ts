import type { LogChannels } from "../channels/read-log.js";
import type { Adjustment } from "../model.js";
import { LogError } from "../table/log-error.js";
import { toSamples } from "./samples.js";
import { describe, type Stretch, stretchesOf } from "./stretches.js";

/** A discharge that drew this share of the largest one's charge could be the run as well. */
const MIN_RIVAL_SHARE = 0.1;

interface ChosenDischarge {
  readonly channels: LogChannels;
  readonly adjustments: readonly Adjustment[];
}

/**
 * Definition 6a: the part of a log that holds the run: its one discharge that could be it, or the one that is asked for, from the end of what was on
 * before to the start of what is on after it. A short trial before the run, and a charge, are passed over and reported.
 *
 * @param discharge which discharge of the log is the run, from 1 on in their order; null where nothing is said
 * @throws LogError `log-several-discharges` when several could be the run, or there is no such discharge
 */
export function chooseDischarge(channels: LogChannels, series: number, discharge: number | null): ChosenDischarge {
  const { time, current, lines, turned } = toSamples(channels, series);
  const stretches = stretchesOf(time, current);
  const discharges = stretches.filter(({ direction }) => direction === "discharge");
  const [largest, second] = [...discharges].sort((a, b) => b.chargeMah - a.chargeMah);
  if (discharge !== null && !discharges[discharge - 1]) throw noSuchDischarge(discharge, discharges, lines);
  if (!largest) return { channels, adjustments: [] };
  const isOpen = second !== undefined && second.chargeMah >= MIN_RIVAL_SHARE * largest.chargeMah;
  if (discharge === null && isOpen) throw severalDischarges(discharges, lines);
  const chosen = discharge === null ? largest : (discharges[discharge - 1] as Stretch);
  if (stretches.length === 1) return { channels, adjustments: [] };
  const at = stretches.indexOf(chosen);
  const before = stretches[at - 1];
  const after = stretches[at + 1];
  const fromS = before ? (time[before.to - 1] as number) : Number.NEGATIVE_INFINITY;
  const toS = after ? (time[after.from] as number) : Number.POSITIVE_INFINITY;
  return {
    // Which sign is discharge is told by the whole log.
    channels: { ...rowsBetween(channels, fromS, toS), dischargeSign: turned ? -1 : 1 },
    adjustments: [adjustment(stretches, chosen, discharge !== null)],
  };
}

function adjustment(stretches: readonly Stretch[], chosen: Stretch, isAsked: boolean): Adjustment {
  const others = stretches.filter((stretch) => stretch !== chosen).map(describe);
  return {
    kind: "loads-passed-over",
    message: `The log holds more than the run. Read was ${describe(chosen)}${isAsked ? ", which was asked for" : ""}. Passed over: ${others.slice(0, 8).join("; ")}.`,
    before: stretches.length,
    after: 1,
    unit: "1",
  };
}

/** The rows that lie between two instants of the log, both excluded. */
function rowsBetween(channels: LogChannels, fromS: number, toS: number): LogChannels {
  const { time, lines } = channels;
  const rows: number[] = [];
  for (let row = 0; row < time.length; row++) {
    if ((time[row] as number) > fromS && (time[row] as number) < toS) rows.push(row);
  }
  const pick = (values: Float64Array) => Float64Array.from(rows, (row) => values[row] as number);
  const orNull = (values: Float64Array | null) => values && pick(values);
  return {
    ...channels,
    time: pick(time),
    voltage: orNull(channels.voltage),
    current: pick(channels.current),
    temperatures: channels.temperatures.map(pick),
    cells: channels.cells.map(pick),
    power: orNull(channels.power),
    charge: orNull(channels.charge),
    energy: orNull(channels.energy),
    lines: lines.length === 0 ? lines : Uint32Array.from(rows, (row) => lines[row] as number),
  };
}

function severalDischarges(discharges: readonly Stretch[], lines: Uint32Array): LogError {
  return new LogError(
    "log-several-discharges",
    `The log holds ${discharges.length} discharges, and which one is the run is not known: ${listed(discharges)}. Say which in the run, such as "discharge": 1; each of them can be a run of its own.`,
    placesOf(discharges, lines),
  );
}

function noSuchDischarge(asked: number, discharges: readonly Stretch[], lines: Uint32Array): LogError {
  return new LogError(
    "log-several-discharges",
    discharges.length === 0
      ? `The run names discharge ${asked}, and the log holds no discharge. Leave \`discharge\` out, and check which column was read as the current.`
      : `The run names discharge ${asked}, and the log holds ${discharges.length}: ${listed(discharges)}. Name one of these.`,
    placesOf(discharges, lines),
  );
}

const MAX_LISTED = 12;

const listed = (discharges: readonly Stretch[]): string =>
  `${discharges
    .slice(0, MAX_LISTED)
    .map((stretch, at) => `${at + 1}: ${describe(stretch)}`)
    .join("; ")}${discharges.length > MAX_LISTED ? "; and more" : ""}`;

const placesOf = (discharges: readonly Stretch[], lines: Uint32Array) =>
  discharges.slice(0, MAX_LISTED).map((stretch, at) => ({
    ...(lines.length > 0 ? { line: lines[stretch.from] as number } : {}),
    message: `discharge ${at + 1}: ${describe(stretch)}`,
  }));
