import { once } from "node:events";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { afterEach, beforeEach, expect, it } from "@jest/globals";
import { Client } from "./client.js";

let answers: [status: number, problem: string][];
let client: Client;
const server = createServer((_, response) => {
  const [status, problem] = answers.shift() ?? [201, ""];
  response.writeHead(status).end(JSON.stringify(problem ? { type: `/problems/${problem}` } : { id: "made" }));
});
beforeEach(async () => {
  server.listen(0, "127.0.0.1");
  await once(server, "listening");
  client = new Client(`http://127.0.0.1:${(server.address() as AddressInfo).port}`);
});
afterEach(async () => {
  server.closeAllConnections();
  server.close();
  await once(server, "close");
});

const decide = (seconds: number) =>
  client.request("POST", "/v1/reviews", {
    json: {},
    expect: [201],
    passing: { problem: "decision-not-possible", seconds },
  });

it("a decision on a run that is still being compared is asked for again until it is possible", async () => {
  answers = [
    [409, "decision-not-possible"],
    [409, "decision-not-possible"],
  ];
  expect(await decide(60)).toEqual({ status: 201, body: { id: "made" } });
  expect(answers).toEqual([]);
});

it("is given up after a time, and at once on any other problem", async () => {
  answers = [[409, "decision-not-possible"]];
  await expect(decide(0)).rejects.toThrow("was answered 409");
  answers = [
    [409, "copy-undecided"],
    [409, "copy-undecided"],
  ];
  await expect(decide(60)).rejects.toThrow("copy-undecided");
  expect(answers).toHaveLength(1);
});
