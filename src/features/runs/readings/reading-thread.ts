import type { InputError } from "../../../core/inputs/input-error.js";
import type { ChosenReadings } from "../../../core/readings/chosen.js";
import { type RunReadings, type RunToRead, readAtWill } from "../../../core/readings/read-at-will.js";
import { decodeTrace } from "../../../core/trace/encode.js";

export interface ReadingTask extends RunToRead {
  readonly encoding: string;
  readonly data: Uint8Array;
  readonly chosen: ChosenReadings;
}

/** Decodes a stored trace and reads it as a reader chose. */
export const readStoredTrace = ({ encoding, data, chosen, ...run }: ReadingTask): RunReadings | readonly InputError[] =>
  readAtWill(decodeTrace(encoding, data), run, chosen);
