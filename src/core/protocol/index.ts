import type { ProtocolDocument } from "./document.js";
import { FULL_LOAD_1 } from "./full-load-1.js";

export type { ProtocolDocument } from "./document.js";

/** Every published protocol version. */
export const PROTOCOLS: readonly ProtocolDocument[] = [FULL_LOAD_1];
