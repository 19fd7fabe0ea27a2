import { STANDARD_LOADS_A } from "../../../core/translation/standard-loads.js";
import { invalidInput } from "./input.pipe.js";

/** Standard loads that a refusal offers. */
const OFFERED = 4;

/** @throws Problem that names the nearest standard loads when it is not one, at the place where it was sent */
export function requireStandardLoad(load: number, pointer = "/load"): void {
  if (STANDARD_LOADS_A.includes(load)) return;
  const distance = (one: number) => Math.max(one / load, load / one);
  const nearest = STANDARD_LOADS_A.toSorted((a, b) => distance(a) - distance(b)).slice(0, OFFERED);
  const message = `must be a standard load (R10 series of preferred numbers), such as ${nearest.toSorted((a, b) => a - b).join(", ")} A`;
  throw invalidInput([{ pointer, message }]);
}
