import type { NestFastifyApplication } from "@nestjs/platform-fastify";
import { undeclaredIn } from "./check-answer.js";
import { watchAnswers } from "./watch-answers.js";

type Inject = NestFastifyApplication["inject"];

interface App {
  readonly nest: NestFastifyApplication;
  readonly inject: Inject;
  close(): Promise<void>;
}

/**
 * The same app, whose every answer is held to the contract: an answer to `inject` that has something undeclared is thrown,
 * and `close` throws what was sent over connections.
 */
export function holdToContract<Held extends App>(app: Held): Held {
  const undeclared: string[] = [];
  watchAnswers(app.nest.getHttpServer(), (answer) => undeclared.push(...undeclaredIn(answer)));
  const inject = async (asked: Parameters<Inject>[0]) => {
    const options = typeof asked === "string" ? { url: asked } : asked;
    const answer = await app.nest.inject(options);
    const { statusCode: status, headers, rawPayload: body } = answer;
    const url = typeof options.url === "string" ? options.url : (options.url?.pathname ?? "/");
    refuse(undeclaredIn({ method: options.method ?? "GET", url, status, headers, body }));
    return answer;
  };
  const held: Held = {
    ...app,
    inject: inject as Inject,
    async close() {
      await app.close();
      letGo(held);
      refuse(undeclared);
    },
  };
  return held;
}

function refuse(faults: readonly string[]): void {
  if (faults.length > 0) throw new Error(`undeclared in contracts/openapi.json:\n${[...new Set(faults)].join("\n")}`);
}

/** A test file's variables live as long as the process: without this, so would every service that any file started. */
function letGo(held: object): void {
  for (const name of Object.keys(held)) Reflect.deleteProperty(held, name);
}
