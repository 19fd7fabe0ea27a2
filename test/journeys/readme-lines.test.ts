import { readFileSync } from "node:fs";
import { request } from "node:http";
import { join } from "node:path";
import { afterAll, beforeAll, expect, it } from "@jest/globals";
import { projectRoot } from "../../src/platform/config/project-root.js";
import { startTestApp, type TestApp } from "../support/app.js";
import { uploadDemoRun } from "../support/demo-run.js";

/** A line of the README that ends with what its answer says. */
interface Line {
  readonly command: string;
  readonly says: string;
}

function linesOf(section: string): Line[] {
  const text = readFileSync(join(projectRoot, "README.md"), "utf8").split(`## ${section}\n`)[1] ?? "";
  const code = (text.split("\n## ")[0] ?? "").replaceAll("\\\n", " ").split("\n");
  return code.flatMap((line) => {
    const [, command, says] = /^ {4}(curl .*?) {3}# (.*)$/.exec(line) ?? [];
    return command && says ? [{ command, says }] : [];
  });
}

let app: TestApp;
let runId: string;
beforeAll(async () => {
  app = await startTestApp();
  const headers = await app.signIn("keelbench");
  const moderator = await app.signIn("mona", "moderator");
  runId = await uploadDemoRun(app, headers, "run-01");
  const payload = { decision: "accept", rules: [], note: "Looked at." };
  const answer = await app.inject({ method: "POST", url: `/v1/runs/${runId}/reviews`, payload, headers: moderator });
  expect(answer.statusCode).toBe(201);
});
afterAll(() => app.close());

/** What curl prints of an answer's head, for the options that the README uses. */
function headOf(command: string): Promise<string> {
  const words = [...command.matchAll(/'([^']*)'|"([^"]*)"|(\S+)/g)].map((match) =>
    match.slice(1).find((one) => one !== undefined),
  );
  const headers: Record<string, string> = {};
  let method = "GET";
  let url = "";
  for (let i = 1; i < words.length; i++) {
    const word = words[i] ?? "";
    if (word === "-H") {
      const [name = "", value = ""] = (words[++i] ?? "").split(/: (.*)/);
      headers[name] = value;
    } else if (word === "-X") method = words[++i] ?? "";
    else if (word === "-r") headers.range = `bytes=${words[++i]}`;
    else if (word === "-sI") method = "HEAD";
    else if (word !== "-si") url = word.replace("$S", app.url).replace("$RUN", runId);
  }
  return new Promise((resolve, reject) => {
    const sent = request(url, { method, headers }, (answer) => {
      answer.resume();
      const fields = Object.entries(answer.headers).map(([name, value]) => `${name}: ${value}`);
      const start = `HTTP/${answer.httpVersion} ${answer.statusCode} ${answer.statusMessage}`;
      answer.once("end", () => resolve([start, ...fields].join("\n")));
    });
    sent.once("error", reject).end();
  });
}

it.each(linesOf("From a page or an app").map(({ command, says }) => [command, says]))(
  "the README's line %s is answered with %s",
  async (command, says) => {
    const head = (await headOf(command)).split("\n");
    expect([head, head.some((line) => line.startsWith(says))]).toEqual([head, true]);
  },
);

it("the README has lines for pages of other origins, compression, HEAD and ranges", () => {
  const commands = linesOf("From a page or an app").map(({ command }) => command);
  for (const part of ["origin:", "OPTIONS", "accept-encoding:", "-sI", "-r 0-99"]) {
    expect([part, commands.some((command) => command.includes(part))]).toEqual([part, true]);
  }
});
