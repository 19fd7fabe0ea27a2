import { linkOf, type MailServer, type ReceivedMail } from "../support/mail-server.js";
import type { Headers, Item, RecordingClient } from "./client.js";

/** A tester is told what became of the runs, and marks it as read. */
export async function beTold(client: RecordingClient, tester: Headers): Promise<void> {
  const { items } = await client.get<{ items: Item[] }>("/v1/notices", tester);
  await client.get("/v1/notices/events?seconds=1", tester);
  const [first] = items;
  if (!first) throw new Error("nobody was told anything");
  await client.ask({ method: "PATCH", url: `/v1/notices/${first.id}`, body: { read: true } }, tester);
  await client.post("/v1/notices/read", { ids: items.map(({ id }) => id) }, tester);
}

/** A tester has notices sent to an app of the own, and looks at what it did not take. */
export async function beTalkedTo(client: RecordingClient, tester: Headers): Promise<void> {
  // Of a kind that nobody is told in this season: nothing leaves this machine.
  const webhook = { url: "https://bench.example.com/notices", kinds: ["webhook-disabled"] };
  const { id } = await client.post<Item>("/v1/webhooks", webhook, tester);
  await client.get("/v1/webhooks", tester);
  await client.get(`/v1/webhooks/${id}`, tester);
  await client.post(`/v1/webhooks/${id}/secret`, undefined, tester);
  const data = { webhookId: id, type: "notice.question", body: '{"type":"notice.question"}', attempts: 8 };
  const failed = { ...data, lastFault: "answered 503", lastTryAt: new Date(), failedAt: new Date() };
  await client.app.database.webhookDelivery.create({ data: failed });
  await client.get(`/v1/webhooks/${id}/failures`, tester);
  await client.ask({ method: "PATCH", url: `/v1/webhooks/${id}`, body: { enabled: false } }, tester);
}

/** A tester has notices mailed, confirms the address and takes it back. */
export async function beMailed(client: RecordingClient, mails: MailServer, tester: Headers): Promise<void> {
  const url = "/v1/accounts/me/mail-address";
  await client.ask({ method: "PUT", url, body: { address: "bert@bench.example" } }, tester);
  await mails.until(1);
  const confirm = linkOf(mails.mails[0] as ReceivedMail, "confirm");
  await client.get(confirm);
  await client.post(confirm, undefined);
  await client.get(url, tester);
  const stored = await client.app.database.mailAddress.findFirstOrThrow();
  const unsubscribe = `/v1/mail/unsubscribe/${stored.unsubscribeToken}`;
  await client.get(unsubscribe);
  await client.post(unsubscribe, undefined);
}
