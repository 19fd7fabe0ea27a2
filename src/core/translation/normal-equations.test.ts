import { expect, it } from "@jest/globals";
import { createRandom } from "../../../seed/simulator/random.js";
import { addGram } from "./normal-equations.js";

const POINTS = 9;
const random = createRandom(17);

// J^T J by its definition; the sums in the order of the points, since results must not depend on how they are grouped.
it.each([1, 2, 3, 4, 5, 8, 11])("adds J^T J of %s unknowns, or any part of it, and changes nothing else", (size) => {
  const slopes = Float64Array.from({ length: size * POINTS }, () => random.gaussian());
  const before = Float64Array.from({ length: size * size }, () => random.gaussian());
  const spans = Array.from({ length: size }, (_, from) => [from, size, Math.ceil((from + size) / 2)]).flatMap(
    ([from, ...ends]) => ends.map((to) => ({ from: from as number, to })),
  );
  for (const rows of spans) {
    for (const columns of spans) {
      const matrix = before.slice();
      addGram(slopes, POINTS, matrix, size, rows, columns);
      const expected = before.map((value, at) => {
        const i = Math.floor(at / size);
        const j = at % size;
        const isWithin = i >= rows.from && i < rows.to && j >= columns.from && j < columns.to;
        let sum = value;
        for (let k = 0; isWithin && j <= i && k < POINTS; k++) {
          sum += (slopes[i * POINTS + k] as number) * (slopes[j * POINTS + k] as number);
        }
        return sum;
      });
      expect(matrix).toEqual(expected);
    }
  }
});
