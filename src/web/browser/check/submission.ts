import type { BenchFacts, PackFacts } from "../../../core/model.js";
import { byId, element } from "../elements.js";
import type { DeclaredRun } from "./run-form.js";
import { Refusal, Session } from "./session.js";

type Registered = { readonly id: string; readonly label: string };
type Specimen = Registered & { readonly packId: string; readonly cycles: number | null };

/** A key of nobody else. `crypto.randomUUID` is kept from pages that came without TLS. */
const newKey = (): string => crypto.getRandomValues(new Uint32Array(4)).join("-");

/** What is sent: the log and how it is read, beside what the form says. */
export interface Upload {
  readonly file: File;
  readonly run: DeclaredRun;
}

/**
 * Signing in and submitting. Once a pack and a bench of one's own are chosen, the form shows what is registered of them, so
 * that what is judged here is what is judged there.
 */
export class Submission {
  private session: Session | null = null;
  private specimens: readonly Specimen[] = [];
  private benches: readonly (Registered & BenchFacts)[] = [];
  private readonly form = byId<HTMLFormElement>("submit");
  private key = newKey();

  constructor(
    private readonly upload: () => Upload | null,
    private readonly registered: (facts: DeclaredRun) => void,
  ) {
    byId<HTMLFormElement>("sign-in").addEventListener("submit", (event) => this.during(event, () => this.signIn()));
    this.form.addEventListener("submit", (event) => this.during(event, () => this.submit()));
    this.form.addEventListener("change", (event) => this.during(event, () => this.takeOver()));
  }

  /** Another log is another upload. */
  startAnew(): void {
    byId("submission").hidden = false;
    this.key = newKey();
    this.say("");
  }

  private async signIn(): Promise<void> {
    const form = byId<HTMLFormElement>("sign-in");
    const entered = new FormData(form);
    this.session = await Session.open(String(entered.get("handle")), String(entered.get("password")));
    form.reset();
    form.hidden = true;
    [this.specimens, this.benches] = await Promise.all([
      this.session.list<Specimen>("/v1/specimens"),
      this.session.list<Registered & BenchFacts>("/v1/benches"),
    ]);
    if (this.specimens.length === 0 || this.benches.length === 0) {
      throw new Refusal(
        "Signed in. Register a specimen of the pack and your bench first: POST /v1/specimens, POST /v1/benches.",
      );
    }
    this.offer("specimenId", this.specimens);
    this.offer("benchId", this.benches);
    this.form.hidden = false;
    await this.takeOver();
    this.say("Signed in. The form above now shows what is registered; check the verdict again, then submit.");
    this.field("specimenId").focus();
  }

  private offer(name: string, things: readonly Registered[]): void {
    this.field(name).replaceChildren(...things.map(({ id, label }) => element("option", { value: id }, label)));
  }

  private async takeOver(): Promise<void> {
    const specimen = this.specimens.find(({ id }) => id === this.field("specimenId").value);
    const bench = this.benches.find(({ id }) => id === this.field("benchId").value);
    if (!specimen || !bench || !this.session) return;
    const pack = await this.session.get<PackFacts>(`/v1/packs/${specimen.packId}`);
    this.registered({ pack, bench: { ...bench, temperature: bench.temperature ?? { offset: null } } });
  }

  private async submit(): Promise<void> {
    const upload = this.upload();
    if (!upload || !this.session) throw new Refusal("Choose a log and fill in the form of the run first.");
    const { pack: _, bench: __, ...declared } = upload.run;
    const startedAt = this.field("startedAt").value;
    const run = {
      ...declared,
      specimenId: this.field("specimenId").value,
      benchId: this.field("benchId").value,
      ...(startedAt === "" ? {} : { startedAt: new Date(startedAt).toISOString() }),
    };
    const body = new FormData();
    body.append("run", JSON.stringify(run));
    body.append("log", upload.file);
    this.say("Sending the log\u2026");
    const { id, state } = await this.session.post<{ id: string; state: string }>("/v1/runs", this.key, body);
    byId("submission-status").replaceChildren(
      state === "processed" ? "Submitted and evaluated: " : "Submitted; the service evaluates it now: ",
      element("a", { href: `/v1/runs/${id}` }, `run ${id}`),
      ". It waits for a moderator before it is public.",
    );
  }

  private field(name: string): HTMLInputElement {
    return this.form.elements.namedItem(name) as HTMLInputElement;
  }

  /** One thing at a time; what was refused is said. */
  private async during(event: Event, work: () => Promise<void>): Promise<void> {
    event.preventDefault();
    const buttons = byId("submission").querySelectorAll("button");
    for (const button of buttons) button.disabled = true;
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.say(error.message);
    } finally {
      for (const button of buttons) button.disabled = false;
    }
  }

  private say(text: string): void {
    byId("submission-status").textContent = text;
  }
}
