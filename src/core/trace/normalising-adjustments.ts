import type { Adjustment } from "../model.js";
import type { NormalisedRun } from "./normalise.js";

type Changes = Pick<NormalisedRun, "samples" | "spikes" | "zero" | "senseOhm" | "loadCurrentA" | "stop" | "clippedS">;

/** Loaded time after the cutoff that is worth a word, s. */
const CLIP_REPORTED_SECONDS = 0.5;

/** What normalisation changed, each with its numbers before and after; nothing when the log was taken as it is. */
export function normalisingAdjustments(run: Changes): Adjustment[] {
  const made: Adjustment[] = [];
  const { zero, senseOhm, loadCurrentA, stop, clippedS } = run;
  const { duplicates, unusable, unordered, turned } = run.samples;
  if (duplicates.count > 0) {
    made.push(
      adjustment(
        "duplicates-merged",
        `${duplicates.count} rows that repeat the row before them were merged.`,
        duplicates.count,
        0,
        "1",
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
        "1",
      ),
    );
  }
  if (unordered.count > 0) {
    made.push(
      adjustment(
        "unordered-left-out",
        `${unordered.count} rows whose time does not rise were left out.`,
        unordered.count,
        0,
        "1",
      ),
    );
  }
  if (turned) {
    made.push(
      adjustment(
        "current-turned",
        "The log counts discharge as negative; the sign of the current was turned.",
        -loadCurrentA,
        loadCurrentA,
        "A",
      ),
    );
  }
  for (const { channel, unit, spikes, before, after } of run.spikes.mended) {
    const place = spikes.first?.line === undefined ? "" : `, the first in line ${spikes.first.line}`;
    made.push(
      adjustment(
        "spikes-mended",
        `${spikes.count} samples of the ${channel} that jump off their neighbours and back were put on the line between them${place}.`,
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
        "The current sensor's offset over the rest before the load was subtracted.",
        zero.offsetA,
        0,
        "A",
      ),
    );
  }
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
        "The log goes on under load past the protocol's cutoff and was clipped there.",
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
