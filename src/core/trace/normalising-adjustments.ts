import type { Adjustment } from "../model.js";
import { type VoltagesLogged, voltagesTaken } from "./cells/cells-beside-pack.js";
import type { NormalisedRun } from "./normalised-run.js";
import { describeRepeats } from "./repeats/each-reading-once.js";

type DrawnChanges = Pick<NormalisedRun, "samples" | "spikes" | "repeats" | "zero" | "loadCurrentA">;
type Changes = DrawnChanges & VoltagesLogged & Pick<NormalisedRun, "senseOhm" | "clippedS">;

/** Loaded time after the cutoff that is worth a word, s. */
const CLIP_REPORTED_SECONDS = 0.5;

/** What was changed in taking from a log what was drawn, each with its numbers before and after. */
export function drawnAdjustments(run: DrawnChanges): Adjustment[] {
  const made: Adjustment[] = [];
  const { zero, loadCurrentA, repeats } = run;
  const { duplicates, unusable, unordered, turned } = run.samples;
  if (duplicates.count > 0) {
    made.push(
      adjustment(
        "duplicates-merged",
        `${duplicates.count} rows that repeat the previous row were merged.`,
        duplicates.count,
        0,
        "rows",
      ),
    );
  }
  if (unusable.count > 0) {
    made.push(
      adjustment(
        "rows-left-out",
        `${unusable.count} rows without a number for voltage or current were left out.`,
        unusable.count,
        0,
        "rows",
      ),
    );
  }
  if (unordered.count > 0) {
    made.push(
      adjustment(
        "unordered-left-out",
        `${unordered.count} rows whose time does not increase were left out.`,
        unordered.count,
        0,
        "rows",
      ),
    );
  }
  if (repeats) {
    made.push(
      adjustment(
        "repeats-left-out",
        `The log's ${describeRepeats(repeats)}. Each reading was taken once; ${repeats.leftOut} rows that repeat one were left out.`,
        repeats.leftOut,
        0,
        "rows",
      ),
    );
  }
  if (turned) {
    made.push(
      adjustment(
        "current-turned",
        "The log counts discharge as negative. The current was inverted.",
        -loadCurrentA,
        loadCurrentA,
        "A",
      ),
    );
  }
  for (const { channel, unit, spikes, before, after } of run.spikes.repaired) {
    const place = spikes.first?.line === undefined ? "" : `, the first in line ${spikes.first.line}`;
    made.push(
      adjustment(
        "spikes-mended",
        `${spikes.count} spike samples of the ${channel} were replaced by the line between their neighbours${place}.`,
        before,
        after,
        unit,
      ),
    );
  }
  if (zero?.subtracted) {
    made.push(
      adjustment(
        "current-zeroed",
        "The offset of the current sensor, read during the rest before the load, was subtracted.",
        zero.offsetA,
        0,
        "A",
      ),
    );
  }
  return made;
}

/** What normalisation changed, each with its numbers before and after; nothing when the log was taken as it is. */
export function normalisingAdjustments(run: Changes): Adjustment[] {
  const made = [...drawnAdjustments(run), ...voltagesTaken(run)];
  const { senseOhm, loadCurrentA, stop, clippedS } = run;
  if (senseOhm) {
    made.push(
      adjustment(
        "sense-corrected",
        `The voltage drop over ${(senseOhm * 1000).toPrecision(3)} mohm between the pack and the sense point was added.`,
        0,
        senseOhm * loadCurrentA,
        "V",
      ),
    );
  }
  if (clippedS > CLIP_REPORTED_SECONDS) {
    made.push(
      adjustment(
        "clipped-at-cutoff",
        "The load stayed on after the cutoff. The log was clipped at the cutoff.",
        stop.loadEndS,
        stop.endS,
        "s",
      ),
    );
  }
  return made;
}

function adjustment(kind: string, message: string, before: number, after: number, unit: string): Adjustment {
  return { kind, message, before, after, unit };
}
