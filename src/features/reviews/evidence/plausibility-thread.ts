import { type RunToJudge, type Sign, signsOf } from "../../../core/plausibility/signs.js";
import { decodeTrace } from "../../../core/trace/encode.js";

export type StoredRunToJudge = Omit<RunToJudge, "trace"> & { readonly encoding: string; readonly data: Uint8Array };

/** The signs that a stored run was made up. */
export const judgeRun = ({ encoding, data, ...run }: StoredRunToJudge): Sign[] =>
  signsOf({ ...run, trace: decodeTrace(encoding, data) });
