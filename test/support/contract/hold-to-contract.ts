import type { TestApp } from "../app.js";
import { undeclaredIn } from "./check-answer.js";
import { watchAnswers } from "./watch-answers.js";

/**
 * The same app, whose every answer is held to the contract: an answer to `inject` that has something undeclared is thrown,
 * and `close` throws what was sent over connections.
 */
export function holdToContract(app: TestApp): TestApp {
  const undeclared: string[] = [];
  watchAnswers(app.nest.getHttpServer(), (answer) => undeclared.push(...undeclaredIn(answer)));
  const inject = async (asked: Parameters<TestApp["inject"]>[0]) => {
    const options = typeof asked === "string" ? { url: asked } : asked;
    const answer = await app.nest.inject(options);
    const { statusCode: status, headers, rawPayload: body } = answer;
    const url = typeof options.url === "string" ? options.url : (options.url?.pathname ?? "/");
    refuse(undeclaredIn({ method: options.method ?? "GET", url, status, headers, body }));
    return answer;
  };
  return {
    ...app,
    inject: inject as TestApp["inject"],
    async close() {
      await app.close();
      refuse(undeclared);
    },
  };
}

function refuse(faults: readonly string[]): void {
  if (faults.length > 0) throw new Error(`undeclared in contracts/openapi.json:\n${[...new Set(faults)].join("\n")}`);
}
