import type { ServerResponse } from "node:http";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "@jest/globals";
import { RecordChangesService } from "../../src/features/webhooks/record-changes/record-changes.service.js";
import type { TestApp } from "../support/app.js";
import { productOf } from "../support/facts.js";
import { type Received, until, verified, type WebhookReceiver } from "../support/webhook-receiver.js";
import { WebhookTest } from "../support/webhook-test.js";

interface Told {
  readonly recordId: string;
  readonly position: number;
  readonly path: string;
}

let webhooks: WebhookTest;
let app: TestApp;
let receiver: WebhookReceiver;
beforeAll(async () => {
  webhooks = await WebhookTest.start();
  ({ app } = webhooks);
});
afterAll(() => app.close());
beforeEach(async () => {
  receiver = await webhooks.begin();
});
afterEach(() => webhooks.end());

const make: WebhookTest["make"] = (...made) => webhooks.make(...made);
const askAndAnswer = () => webhooks.askAndAnswer();
const failures = (id: string) => webhooks.failures(id);
const toldBy = (received: Received | undefined, secret: string) => verified<Told>(received as Received, secret);

const changesAt = async (path: string) =>
  (await app.inject({ url: path })).json<{ recordId: string; items: { position: number; event: string }[] }>();
/** Has nobody look for changes but the test. */
const lookOnlyWhenTold = async () => {
  const removed = () => app.database.$queryRaw<{ isLater: boolean | null }[]>`
    SELECT (graphile_worker.remove_job(key)).run_at > now() AS "isLater" FROM graphile_worker.jobs
    WHERE key = 'tell-changes' AND locked_at IS NULL AND run_at > now()`;
  await until(removed, (rows) => rows.length > 0);
};
/** Has the service's next look come now. */
const hurry = () => app.database.$queryRaw`
  SELECT FROM graphile_worker.jobs AS waiting, graphile_worker.reschedule_jobs(ARRAY[waiting.id], run_at => now())
  WHERE waiting.key = 'tell-changes' AND waiting.locked_at IS NULL AND waiting.run_at > now()`;
const registerPack = async (name: string) => {
  const product = { ...productOf(name), differsFrom: [] };
  expect((await webhooks.ask("POST", "/v1/packs", webhooks.tilda, product)).statusCode).toBe(201);
};

describe("a webhook that names changes of the record", () => {
  it("is sent where to read exactly those that it has not heard of, once for many, and nothing else", async () => {
    const { secret } = await make({ kinds: ["record-changed"] });
    await lookOnlyWhenTold();
    const changes = app.nest.get(RecordChangesService);
    await registerPack("Causeway");
    await registerPack("Breakwater");
    await changes.tell();
    await receiver.until(1);
    const first = toldBy(receiver.received[0], secret);
    expect(first.type).toBe("record.changed");
    const page = await changesAt(first.data.path);
    expect(page.items.map(({ event }) => event)).toEqual(["registered", "registered"]);
    expect(page.items.at(-1)?.position).toBe(first.data.position);
    await askAndAnswer();
    await registerPack("Lighthouse");
    await changes.tell();
    await receiver.until(2);
    const second = toldBy(receiver.received[1], secret);
    const next = await changesAt(second.data.path);
    expect(next.items.map(({ position, event }) => [position, event])).toEqual([[second.data.position, "registered"]]);
    expect(second.data.position).toBeGreaterThan(first.data.position);
    expect(second.data.recordId).toBe(first.data.recordId);
    expect(receiver.received).toHaveLength(2);
  });

  it("is sent nothing while one message is on its way, and all that came meanwhile by the next", async () => {
    const held: ServerResponse[] = [];
    receiver.answer((_, response) => held.push(response));
    const { id, secret } = await make({ kinds: ["record-changed"] });
    await lookOnlyWhenTold();
    const changes = app.nest.get(RecordChangesService);
    const onTheirWay = () => app.database.webhookDelivery.count({ where: { webhookId: id, failedAt: null } });
    await registerPack("Pier");
    await changes.tell();
    await receiver.until(1);
    for (const name of ["Jetty", "Groyne"]) {
      await registerPack(name);
      await changes.tell();
    }
    expect(await onTheirWay()).toBe(1);
    receiver.answer(204);
    held[0]?.writeHead(204).end();
    await until(onTheirWay, (count) => count === 0);
    await changes.tell();
    await receiver.until(2);
    const { data } = toldBy(receiver.received[1], secret);
    expect((await changesAt(data.path)).items).toHaveLength(2);
  });

  it("is told by the service itself, and of what came while it took nothing when it takes again", async () => {
    receiver.answer(500);
    const { id, secret } = await make({ kinds: ["record-changed"] });
    await registerPack("Harbour");
    const failed = async () => {
      await hurry();
      return failures(id);
    };
    await until(failed, (found) => found.length === 1);
    await registerPack("Mole");
    receiver.answer(204);
    const before = receiver.received.length;
    await until(
      async () => {
        await hurry();
        return receiver.received.length;
      },
      (count) => count > before,
    );
    const { data } = toldBy(receiver.received[before], secret);
    expect((await changesAt(data.path)).items).toHaveLength(1);
    const [given] = await failures(id);
    expect(given?.type).toBe("record.changed");
  });

  it("is a webhook of notices too when it names some, and without names is sent no change", async () => {
    await make();
    const { secret } = await make({ kinds: ["record-changed", "question"], url: `${receiver.url}/both` });
    await lookOnlyWhenTold();
    await registerPack("Quay");
    await app.nest.get(RecordChangesService).tell();
    await receiver.until(1);
    expect(toldBy(receiver.received[0], secret).type).toBe("record.changed");
    await askAndAnswer();
    await receiver.until(3);
    const types = receiver.received.map(({ body }) => (JSON.parse(body) as { type: string }).type).sort();
    expect(types).toEqual(["notice.question", "notice.question", "record.changed"]);
  });
});
