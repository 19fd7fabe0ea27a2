import { drawFleet, type JudgedFleet } from "./draw-fleet.js";
import { type JudgedFigure, RANKED_TRANSLATED } from "./judged-figure.js";
import { optionsOf, USAGE } from "./options.js";
import { summariesOf } from "./summary.js";
import { markdownTable, percent, SUMMARY_HEADER, summaryRow } from "./tables.js";

/** Prints how far figures of simulated runs lie from the truth, and how well their uncertainties say so. */
const options = optionsOf(process.argv.slice(2));
if (!options) {
  console.error(USAGE);
  process.exitCode = 2;
} else {
  const fleets: JudgedFleet[] = [];
  for (const population of options.populations) {
    const fleet = await drawFleet(population, options);
    if (options.json) fleets.push(fleet);
    else print(fleet, options);
  }
  if (options.json) console.log(JSON.stringify(fleets));
}

function print(fleet: JudgedFleet, { errors, details }: { readonly errors: string; readonly details: boolean }): void {
  const { population, runs } = fleet;
  if (runs.length > 0) {
    const conforming = runs.filter((run) => run.conforming).length;
    const bounded = runs.filter(({ bounds }) => bounds > 0).length;
    const counts = `${runs.length} runs, ${conforming} conforming, ${bounded} with bounds`;
    console.log(`\n# Population ${population}, ${errors} benches: ${counts}`);
    printFigures(
      runs.flatMap(({ figures }) => figures),
      details,
    );
  }
  if (fleet.standings.length > 0) printStandings(fleet);
}

function printFigures(judged: readonly JudgedFigure[], details: boolean): void {
  const translated = judged.filter(({ key, side }) => side !== null && RANKED_TRANSLATED.includes(key));
  const nearest = translated.filter((one) => one.nearest);
  const own = judged.filter(({ side }) => side === null);
  printTable("Translated, by chemistry", translated, ({ chemistry }) => chemistry);
  printTable("Translated, by side of the standard load", translated, ({ side }) => String(side));
  printTable("Translated, by kind of load", translated, ({ kind }) => kind);
  if (details) {
    printTable("Translated, by chemistry and side", translated, ({ chemistry, side }) => `${chemistry}, ${side}`);
    printTable(
      "Translated, by chemistry and kind of load",
      translated,
      ({ chemistry, kind }) => `${chemistry}, ${kind}`,
    );
  }
  printTable("Translated to the nearest standard load", nearest, ({ recovered }) =>
    recovered ? "recovery logged" : "no recovery logged",
  );
  printTable("Under the run's own load, by chemistry", own, ({ chemistry }) => chemistry);
}

function printTable(title: string, judged: readonly JudgedFigure[], groupOf: (one: JudgedFigure) => string): void {
  console.log(`\n## ${title}\n`);
  const groups = [...Map.groupBy(judged, groupOf)].sort(([a], [b]) => (a < b ? -1 : 1));
  const rows = [["all", judged] as const, ...groups].flatMap(([group, ones]) =>
    summariesOf(ones).map((summary) => [group, ...summaryRow(summary)]),
  );
  console.log(markdownTable(["group", ...SUMMARY_HEADER], rows));
}

function printStandings({ population, standings }: JudgedFleet): void {
  console.log(`\n# Population ${population}: standings of five testers, one run each\n`);
  const rows = [...Map.groupBy(standings, ({ side, key }) => `${key}, loads ${side}`)].map(([group, ones]) => {
    const within = ones.filter(({ value, truth, U }) => Math.abs(value - truth) <= U).length;
    const rms = Math.sqrt(ones.reduce((sum, { value, truth }) => sum + (value / truth - 1) ** 2, 0) / ones.length);
    return [group, String(ones.length), percent(rms, 3), percent(within / ones.length, 1)];
  });
  console.log(markdownTable(["figure", "standings", "rms", "within k u"], rows));
}
