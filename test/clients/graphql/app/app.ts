import { openAsBlob } from "node:fs";
import { graphql } from "./generated/gql.js";
import { FigureKey, Stage } from "./generated/graphql.js";
import { Service } from "./service.js";

const RANKING = graphql(`
  query BestPacks($figure: FigureKey!, $first: Int) {
    ranking(figure: $figure, first: $first, standing: ALL) {
      totalCount
      load
      edges { node { place placeRange value unit uncertainty coverageFactor pack { id name } } }
      pageInfo { hasNextPage endCursor }
    }
  }
`);
const PACK = graphql(`
  query Pack($id: ID!) {
    pack(id: $id) { id maker name chemistry series parallel ratedCapacityMah massGrams }
    runs(packId: $id, first: 5) { edges { node { id uploadedAt figures { key value unit } conformance { verdict } } } }
  }
`);
const COMPARISON = graphql(`
  query SideBySide($packs: [ID!]!) {
    comparison(packs: $packs) {
      baseline
      columns { id kind pack { name } }
      rows { figure basis load unit cells { value differencePercent distinguishable } }
    }
  }
`);
const PROGRESS = graphql(`
  subscription Progress($id: ID!) {
    runProgress(id: $id) { stage done total }
  }
`);
const RESULT = graphql(`
  query Result($id: ID!) {
    run(id: $id) { state review error { code } figures { key value unit uncertainty } pack { id } }
  }
`);

/** What a reader of the app sees, from the ranking to the figures of a log that they upload. */
async function show(service: Service, run: object, logFile: string) {
  const { ranking } = await service.ask(RANKING, { figure: FigureKey.Power_10S, first: 10 });
  const rows = ranking?.edges.map(({ node }) => node) ?? [];
  const [best] = rows;
  if (!best) throw new Error("the ranking has no packs");
  const { pack, runs } = await service.ask(PACK, { id: best.pack.id });
  const { comparison } = await service.ask(COMPARISON, { packs: rows.map((row) => row.pack.id) });
  const id = await service.upload(run, await openAsBlob(logFile), "my-log.csv");
  const stages: Stage[] = [];
  for await (const { runProgress } of service.follow(PROGRESS, { id })) {
    stages.push(runProgress.stage);
    if (runProgress.stage === Stage.Failed) throw new Error("the log could not be read");
  }
  const result = await service.ask(RESULT, { id });
  return {
    best: rows.map((row) => row.pack.name),
    pack: pack && { name: pack.name, massGrams: pack.massGrams ?? null },
    runsOfPack: runs?.edges.map(({ node }) => ({ verdict: node.conformance?.verdict, figures: node.figures.length })),
    compared: comparison?.columns.map((column) => column.pack.name),
    percentOfBaseline: comparison?.rows
      .find((row) => row.figure === FigureKey.Capacity)
      ?.cells.map((cell) => cell.differencePercent ?? null),
    stages,
    uploaded: { state: result.run?.state, review: result.run?.review, figures: result.run?.figures.length },
  };
}

const [url = "", authorization = "", run = "{}", logFile = ""] = process.argv.slice(2);
console.log(JSON.stringify(await show(new Service(url, authorization), JSON.parse(run), logFile)));
