import type { ProtocolDocument } from "./document.js";
import { CURRENT_LADDER_1 } from "./documents/current-ladder-1.js";
import { FULL_LOAD_1 } from "./documents/full-load-1.js";
import { RATED_CAPACITY_1 } from "./documents/rated-capacity-1.js";
import { TWO_PULSE_1 } from "./documents/two-pulse-1.js";
import { newestOf } from "./newest.js";

export type { ProtocolDocument } from "./document.js";

/** Every published protocol version. A new version is one document, listed here. */
export const PROTOCOLS: readonly ProtocolDocument[] = [FULL_LOAD_1, CURRENT_LADDER_1, TWO_PULSE_1, RATED_CAPACITY_1];

/** The newest version of each protocol, in the order in which their first versions are listed. */
export const NEWEST_PROTOCOLS: readonly ProtocolDocument[] = newestOf(PROTOCOLS);
