/**
 * Simulates communities of testers and those who attack their rankings, by the service's own functions (`src/core/record`, all rules
 * together; without database and clock), and prints how far an established standing moves before a moderator decides.
 * The arguments are the number of communities of each size, and the name of a population. It fails when a goal is missed.
 */
import { createRandom } from "../../seed/simulator/random.js";
import { DEFAULT_POLICY } from "../../src/core/record/policy.js";
import type { RecordStanding } from "../../src/core/record/standing.js";
import { attack, puppetRecords, targetsOf, WAYS } from "./attacks.js";
import { type Community, rankedResult, standingOf } from "./community.js";
import { type Grown, type GrowthOptions, grow, measured } from "./growth.js";
import { POPULATIONS, type Population } from "./population.js";

const COMMUNITIES = Number(process.argv[2]);
const population = POPULATIONS.find(({ name }) => name === process.argv[3]) as Population;
const PUPPETS = [1, 2, 3, 5, 10] as const;
const random = createRandom(population.seed);
const failures: string[] = [];

const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
const percent = (share: number, digits = 0) => `${(100 * share).toFixed(digits)} %`;
const row = (cells: readonly (string | number)[]) => console.log(`| ${cells.join(" | ")} |`);
const goal = (what: string, met: boolean) => {
  console.log(`${met ? "met   " : "MISSED"} ${what}`);
  if (!met) failures.push(what);
};

function communities(options: Omit<GrowthOptions, "population">, count = COMMUNITIES): Community[] {
  return Array.from({ length: count }, () => grow({ ...options, population }, random));
}

console.log(`\n# Population "${population.name}": ${COMMUNITIES} communities of each size, seed ${population.seed}`);
console.log(
  "\n## How far k puppets move an established standing: mean % and U, largest U; held results and disputes at k = 10\n",
);
const sizes = [8, 15, 30].map((testers) => ({ testers, grown: communities({ testers }) }));
const all = sizes.flatMap(({ grown }) => grown);
const groups = [
  { name: "3-4 honest", least: 3, most: 4 },
  { name: "5-7 honest", least: 5, most: 7 },
  { name: "8-14 honest", least: 8, most: 14 },
];
row(["standing made by", "way", ...PUPPETS.map((k) => `k = ${k}`), "held", "disputed"]);
row(["---", "---", ...PUPPETS.map(() => "---"), "---", "---"]);
const [meansInU, largestInU]: [number[], number[]] = [[], []];
for (const { name, least, most } of groups) {
  const targets = all.flatMap((community) => {
    const [target] = targetsOf(community, least, most);
    return target === undefined ? [] : [{ community, target }];
  });
  for (const way of WAYS) {
    const cells = PUPPETS.map((puppets) =>
      targets.map((one) => attack(one.community, one.target, way, puppets, random)),
    );
    cells.forEach((outcomes) => {
      meansInU.push(mean(outcomes.map(({ inU }) => inU)));
      largestInU.push(Math.max(...outcomes.map(({ inU }) => inU)));
    });
    const last = cells.at(-1) ?? [];
    row([
      `${name} (${targets.length})`,
      way,
      ...cells.map((outcomes) => {
        const inU = outcomes.map((one) => one.inU);
        return `${percent(mean(outcomes.map(({ share }) => share)), 2)}, ${mean(inU).toFixed(2)} U, ${Math.max(...inU).toFixed(2)} U`;
      }),
      mean(last.map(({ held }) => held)).toFixed(1),
      percent(mean(last.map(({ disputed }) => Number(disputed)))),
    ]);
  }
}

console.log("\n## What a puppet needs before it counts: share of puppets established\n");
const thirty = sizes[2]?.grown ?? [];
const shareOf = (kind: "copies" | "invented" | "guesses", packs: number, guessSd = 0) =>
  mean(thirty.map((community) => puppetRecords(community, kind, { puppets: 20, packs, guessSd }, random)));
row(["made up by", "established"]);
row(["---", "---"]);
for (const packs of [1, 2, 3])
  row([`${packs} copies of published values with noise`, percent(shareOf("copies", packs))]);
const invented = shareOf("invented", 3);
row(["3 packs invented and shared among puppets", percent(invented)]);
row([
  "1 sealed pack guessed within 5 % (power), 4 % (capacity), 25 % (resistance), and 2 copies",
  percent(sealedGuess(thirty)),
]);

console.log("\n## A new pack: established by whom, and how far off\n");
row(["reference testers", "puppets established (at +3 %)", "settled puppets", "established", "value off"]);
row(["---", "---", "---", "---", "---"]);
for (const [references, puppets, settled] of [
  [0, 10, 0],
  [1, 10, 0],
  [2, 1, 0],
  [2, 10, 0],
  [0, 0, 3],
] as const) {
  const found = Array.from({ length: 200 }, () => newPack(references, puppets, settled));
  const established = found.filter((one) => one.established);
  row([
    references,
    puppets,
    settled,
    percent(established.length / found.length),
    established.length > 0 ? percent(mean(established.map(({ value }) => value - 1)), 2) : "-",
  ]);
  if (references + settled < 2) goal("no pack enters a ranking without reference testers", established.length === 0);
}

console.log(
  "\n## Growth: packs with three testers after 24 months, established ones, honest testers kept out, false alarms\n",
);
row([
  "testers",
  "packs",
  "established",
  "kept out",
  "uncalibrated let in",
  "established, one sealed pack asked for",
  "kept out",
  "disputed",
  "held",
]);
row(Array.from({ length: 9 }, () => "---"));
let keptOutOfThirty = 1;
for (const testers of [8, 15, 30, 60]) {
  const open = grownBy({ testers });
  const sealed = grownBy({ testers, policy: { ...DEFAULT_POLICY, sealedFrom: 15 }, attendance: 0.4 });
  if (testers === 30) keptOutOfThirty = open.keptOut;
  row([
    testers,
    open.packs.toFixed(1),
    open.established.toFixed(1),
    percent(open.keptOut, 1),
    percent(open.letIn, 1),
    `${sealed.established.toFixed(1)} of ${sealed.packs.toFixed(1)}`,
    percent(sealed.keptOut, 1),
    percent(open.disputed, 1),
    percent(open.held, 1),
  ]);
}

console.log("\n## Bootstrap (15 testers) and a club of four, all vouched for\n");
for (const vouched of [2, 3, 4]) {
  const { established, packs } = grownBy({ testers: 15, vouched });
  row([`${vouched} vouched for`, `${established.toFixed(1)} of ${packs.toFixed(1)} packs established`]);
}
const club = { ...DEFAULT_POLICY, testers: 2, referenceTesters: 1, vouchedOnly: true };
const clubs = communities({ testers: 4, allVouched: true, policy: club });
const [two, three] = [2, 3].map((least) => mean(clubs.map((one) => measured(one, least).established))) as [
  number,
  number,
];
row(["club of four, two testers make a standing", `${two.toFixed(1)} established; with three ${three.toFixed(1)}`]);
for (const testers of [2, 3, 4]) {
  const off = Array.from({ length: 500 }, () => Math.abs(liarMoves(testers)));
  row([`one of ${testers} at +3 %`, `moves the value by ${percent(mean(off), 2)}`]);
}

console.log("\n## Goals\n");
goal(
  `mean over attacks within U/2 for every way and k up to 10: largest ${Math.max(...meansInU).toFixed(2)} U`,
  Math.max(...meansInU) <= 0.5,
);
goal(
  `any attack within U for k up to 10: largest ${Math.max(...largestInU).toFixed(2)} U`,
  Math.max(...largestInU) <= 1,
);
goal(`no puppet is established by packs that puppets invented: ${percent(invented)}`, invented === 0);
goal(`honest newcomers kept out at 30 testers at most 5 %: ${percent(keptOutOfThirty, 1)}`, keptOutOfThirty <= 0.05);
process.exitCode = failures.length > 0 ? 1 : 0;

function grownBy(options: Omit<GrowthOptions, "population">): Grown {
  const some = communities(options).map((community) => measured(community));
  const of = (key: keyof Grown) => mean(some.map((one) => one[key]));
  return {
    packs: of("packs"),
    established: of("established"),
    keptOut: of("keptOut"),
    letIn: of("letIn"),
    disputed: of("disputed"),
    held: of("held"),
  };
}

/** Two copies of published values, and one sealed pack that nobody could copy. */
function sealedGuess(grown: readonly Community[]): number {
  return mean(
    grown.map((community) => puppetRecords(community, "guesses", { puppets: 20, packs: 3, guessSd: 0.05 }, random)),
  );
}

function newPack(references: number, puppets: number, settled: number): RecordStanding {
  const results = [
    ...Array.from({ length: references }, (_, i) =>
      rankedResult(`r${i}`, 1 + 0.009 * random.gaussian(), 0.006, "vouched"),
    ),
    ...Array.from({ length: puppets }, (_, i) =>
      rankedResult(`p${i}`, 1.03 + 0.001 * random.gaussian(), 0.005, "established"),
    ),
    ...Array.from({ length: settled }, (_, i) =>
      rankedResult(`s${i}`, 1.03 + 0.001 * random.gaussian(), 0.005, "settled"),
    ),
  ];
  return standingOf(results, DEFAULT_POLICY, null) as RecordStanding;
}

function liarMoves(testers: number): number {
  const honest = Array.from({ length: testers }, (_, i) =>
    rankedResult(`t${i}`, 1 + 0.009 * random.gaussian(), 0.006, "vouched"),
  );
  const lying = honest.map((one, i) => (i === 0 ? { ...one, value: one.value + 0.03 } : one));
  const shownBy = (some: typeof honest) => (standingOf(some, club, null) as RecordStanding).value;
  return shownBy(lying) - shownBy(honest);
}
