import { Slots } from "../../platform/process/slots.js";

/**
 * Hashes that are slow on purpose, of passwords and of erased handles, take some 20 MiB each. No more than two are made at
 * the same time, whoever asks, so that a flood of them takes neither the memory nor all threads that files and names of hosts wait for.
 */
export const slowHashes = new Slots(2);
