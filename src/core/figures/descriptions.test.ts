import { expect, it } from "@jest/globals";
import { LADDER_FIGURE_KEYS } from "../ladder/figures.js";
import { PROTOCOLS } from "../protocol/index.js";
import { FIGURE_KEYS } from "./catalogue.js";
import { FIGURE_DESCRIPTIONS } from "./descriptions.js";

it("tells of every figure there is, and of no other", () => {
  expect([...FIGURE_DESCRIPTIONS.keys()].sort()).toEqual([...FIGURE_KEYS, ...LADDER_FIGURE_KEYS].sort());
});

it("says of every figure that packs are ranked by which way is better, as the protocols do", () => {
  for (const { figure, better } of PROTOCOLS.flatMap(({ ranked }) => ranked)) {
    expect([figure, FIGURE_DESCRIPTIONS.get(figure)?.direction]).toEqual([figure, better]);
  }
});

it("has no title twice", () => {
  const titles = [...FIGURE_DESCRIPTIONS.values()].map(({ title }) => title);
  expect(new Set(titles).size).toBe(titles.length);
});
