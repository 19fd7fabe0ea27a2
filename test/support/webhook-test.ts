import type { NewWebhookView, WebhookFailureView, WebhookView } from "../../src/features/webhooks/webhooks.views.js";
import { startTestApp, type TestApp } from "./app.js";
import { uploadCase } from "./uploads.js";
import { startWebhookReceiver, type WebhookReceiver } from "./webhook-receiver.js";

export type Headers = { authorization: string };

/** Two further tries at once: three tries a message. A busy machine takes its time for an answer. */
export const WEBHOOK_SETTINGS = { webhooksToLoopback: true, webhookRetrySeconds: [0, 0], webhookSeconds: 3_600 };

/** A service with a run of the tester tilda, its moderator mona, and a receiver of webhooks for each test. */
export class WebhookTest {
  receiver!: WebhookReceiver;

  private constructor(
    readonly app: TestApp,
    readonly tilda: Headers,
    readonly mona: Headers,
    readonly runId: string,
  ) {}

  static async start(): Promise<WebhookTest> {
    const app = await startTestApp(WEBHOOK_SETTINGS);
    const tilda = await app.signIn("tilda");
    const mona = await app.signIn("mona", "moderator");
    const { body } = await uploadCase(app, tilda, "Sprint", "truth-4s-10hz");
    return new WebhookTest(app, tilda, mona, body.id);
  }

  /** Gives a test a receiver of its own. */
  async begin(): Promise<WebhookReceiver> {
    this.receiver = await startWebhookReceiver();
    return this.receiver;
  }

  /** Leaves no webhook to the next test. */
  async end(): Promise<void> {
    const { items } = (await this.ask("GET", "/v1/webhooks")).json<{ items: WebhookView[] }>();
    for (const { id } of items) await this.ask("DELETE", `/v1/webhooks/${id}`);
    await this.receiver.close();
  }

  ask(method: "GET" | "POST" | "PATCH" | "DELETE", url: string, headers = this.tilda, payload?: object) {
    return this.app.inject({ method, url, headers, ...(payload ? { payload } : {}) });
  }

  /** Registers a webhook to the test's receiver unless another URL is given. */
  async make(input: object = {}, headers = this.tilda): Promise<NewWebhookView> {
    const answer = await this.ask("POST", "/v1/webhooks", headers, { url: this.receiver.url, ...input });
    if (answer.statusCode !== 201) throw new Error(`the webhook was not registered: ${answer.body}`);
    return answer.json<NewWebhookView>();
  }

  /** A moderator asks and the tester answers: one notice. */
  async askAndAnswer(): Promise<void> {
    const url = `/v1/runs/${this.runId}`;
    const asked = { decision: "request-info", rules: [], note: "Which charger?" };
    const question = await this.ask("POST", `${url}/reviews`, this.mona, asked);
    const answer = await this.ask("POST", `${url}/answers`, this.tilda, { note: "The usual one." });
    if (question.statusCode !== 201 || answer.statusCode !== 200) throw new Error(`${question.body} ${answer.body}`);
  }

  async failures(id: string): Promise<WebhookFailureView[]> {
    return (await this.ask("GET", `/v1/webhooks/${id}/failures`)).json<{ items: WebhookFailureView[] }>().items;
  }
}
