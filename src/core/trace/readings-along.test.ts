import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { meansAlong, valuesAlong } from "./readings-along.js";
import { mean, valueAt } from "./series.js";

it.each([0.3, 1, 7])(
  "reads what is read one by one, to the last bit, at instants %d as far apart as the samples and beyond both ends",
  (apart) => {
    const random = createRandom(11);
    let at = -2;
    const time = Float64Array.from({ length: 300 }, () => (at += random.between(0.01, 0.2)));
    const values = time.map(() => 12 + random.gaussian());
    const instants = Float64Array.from({ length: Math.floor(360 / apart) }, (_, i) => -4 + 0.1 * apart * i);
    expect((instants.at(-1) as number) > at).toBe(true);
    expect(valuesAlong(time, values, instants)).toEqual(instants.map((t) => valueAt(time, values, t)));
    expect(meansAlong(time, values, instants, 0.13)).toEqual(
      instants.map((t) => mean(time, values, t - 0.13, t + 0.13)),
    );
  },
);
