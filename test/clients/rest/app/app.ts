import { openAsBlob } from "node:fs";
import createClient from "openapi-fetch";
import type { components, paths } from "./generated/contract.js";
import { follow, type Progress } from "./progress.js";

type Client = ReturnType<typeof createClient<paths>>;
type RunInput = components["schemas"]["RunInput"];

/** The body of an answer; what a problem says is thrown. */
function given<Body>({ data, error }: { data?: Body; error?: components["schemas"]["Problem"] }): Body {
  if (error) throw new Error(`${error.status} ${error.code}: ${error.detail ?? error.title}`);
  if (data === undefined) throw new Error("the answer has no body");
  return data;
}

async function upload(client: Client, run: RunInput, log: Blob): Promise<string> {
  const answer = await client.POST("/v1/runs", {
    // A blob stands for what the contract calls binary text.
    body: { run, log: log as unknown as string },
    bodySerializer: (body) => {
      const form = new FormData();
      form.append("run", JSON.stringify(body.run));
      form.append("log", log, "my-log.csv");
      return form;
    },
  });
  return given(answer).id;
}

/** What a reader of the app sees, from the ranking to the figures of a log that they upload. */
async function show(client: Client, run: RunInput, logFile: string) {
  const ranking = given(
    await client.GET("/v1/rankings/{figure}", {
      params: { path: { figure: "power-10s" }, query: { first: 10, standing: "all" } },
    }),
  );
  const [best] = ranking.items;
  if (!best) throw new Error("the ranking has no packs");
  const pack = given(await client.GET("/v1/packs/{id}", { params: { path: { id: best.pack.id } } }));
  const packs = ranking.items.map((row) => row.pack.id).join(",");
  const comparison = given(await client.GET("/v1/comparisons", { params: { query: { packs } } }));
  const id = await upload(client, run, await openAsBlob(logFile));
  const stages: Progress["stage"][] = [];
  for await (const { stage } of follow(client, id)) {
    stages.push(stage);
    if (stage === "failed") throw new Error("the log could not be read");
  }
  const result = given(await client.GET("/v1/runs/{id}", { params: { path: { id } } }));
  const unknown = await client.GET("/v1/packs/{id}", { params: { path: { id: "no-such-pack" } } });
  return {
    best: ranking.items.map((row) => row.pack.name),
    pack: { name: pack.name, massGrams: pack.massGrams ?? null },
    compared: comparison.columns.map((column) => column.pack.name),
    percentOfBaseline: comparison.rows
      .find((row) => row.figure === "capacity")
      ?.cells.map((cell) => cell.differencePercent ?? null),
    stages,
    uploaded: { state: result.state, review: result.review, figures: result.figures.length },
    unknown: unknown.error?.code,
  };
}

const [url = "", authorization = "", run = "{}", logFile = ""] = process.argv.slice(2);
const client = createClient<paths>({ baseUrl: url, headers: { authorization } });
console.log(JSON.stringify(await show(client, JSON.parse(run), logFile)));
