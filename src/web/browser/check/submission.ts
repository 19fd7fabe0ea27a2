import { BENCH_FACTS } from "../../../core/inputs/bench.js";
import { PACK_FACTS } from "../../../core/inputs/pack.js";
import type { BenchFacts, PackFacts, SavedColumnMap } from "../../../core/model.js";
import { byId, element } from "../elements.js";
import { localText } from "../local-time.js";
import { Refusal } from "../service/service.js";
import type { Session } from "../service/session.js";
import { SignIn } from "../service/sign-in.js";
import type { DeclaredRun, RunFile } from "./declared-run.js";
import { type SubmittedRun, submittedText } from "./submitted.js";

type Registered = { readonly id: string; readonly label: string };
type Specimen = Registered & { readonly packId: string; readonly cycles: number | null };
type Bench = Registered & BenchFacts;
type Choice = "specimenId" | "benchId";

/** A key of nobody else. `crypto.randomUUID` is kept from pages that came without TLS. */
const newKey = (): string => crypto.getRandomValues(new Uint32Array(4)).join("-");

/** What is sent: the log and how it is read, beside what the form says. */
export interface Upload {
  readonly file: File;
  readonly run: DeclaredRun;
}

/**
 * Signing in and submitting. Once a specimen or a bench of one's own is chosen, the form shows what is registered of it and
 * takes no other entry, so that what is judged here is what is judged there.
 */
export class Submission {
  private readonly signIn = new SignIn();
  private session: Session | null = null;
  private specimens: readonly Specimen[] = [];
  private benches: readonly Bench[] = [];
  private readonly form = byId<HTMLFormElement>("submit");
  private suggested: Pick<RunFile, "specimen" | "bench"> = { specimen: null, bench: null };
  private sent = { content: "", key: "" };
  /** What the form holds of the register, of the pack and the bench of this log. */
  private readonly fromRegister = new Set<string>();

  /**
   * @param upload what would be sent, or why nothing can be
   * @param registered told what is registered of a pack or a bench that was chosen
   * @param savedMaps told the column maps of who is signed in
   */
  constructor(
    private readonly upload: () => Upload | string,
    private readonly registered: (facts: DeclaredRun) => void,
    private readonly savedMaps: (maps: readonly SavedColumnMap[]) => void,
  ) {
    this.on("sign-in", "submit", async () => this.enter(await this.signIn.byPassword()));
    this.on("sign-in-code", "submit", async () => this.enter(await this.signIn.byCode()));
    this.on("sign-out", "click", () => this.signOut());
    this.on("look-again", "click", () => this.offer());
    this.on("submit", "submit", () => this.submit());
    this.form.addEventListener("change", (event) => {
      const { name } = event.target as HTMLInputElement;
      if (name === "specimenId" || name === "benchId") void this.during(() => this.takeOver(name));
    });
  }

  /** Another log is another upload. @param isOther its specimen and bench are to be chosen anew */
  startAnew(isOther: boolean): void {
    byId("submission").hidden = false;
    this.sent = { content: "", key: newKey() };
    this.say("");
    if (!isOther) return;
    this.fromRegister.clear();
    this.form.reset();
    this.suggested = { specimen: null, bench: null };
    for (const name of ["specimenId", "benchId"] as const) this.lock(name, false);
  }

  /** What a run file says of specimen, bench and beginning; the first two are looked for once somebody is signed in. */
  suggest({ specimen, bench, startedAt }: Pick<RunFile, "specimen" | "bench" | "startedAt">): void {
    this.suggested = { specimen: specimen ?? this.suggested.specimen, bench: bench ?? this.suggested.bench };
    const began = startedAt === null ? Number.NaN : Date.parse(startedAt);
    if (!Number.isNaN(began)) {
      this.field("startedAt").value = localText(new Date(began));
    }
    if (this.session) void this.during(() => this.choose());
  }

  /** The pack and the bench stay as they are registered, once they are chosen, whatever a run file says of them. */
  withoutRegistered(run: DeclaredRun): DeclaredRun {
    const isChosen = (name: Choice) => this.session !== null && this.field(name).value !== "";
    const registered = { pack: isChosen("specimenId"), bench: isChosen("benchId") };
    return Object.fromEntries(Object.entries(run).filter(([name]) => !registered[name as keyof typeof registered]));
  }

  /** What was entered on this device: only that is kept on it. */
  enteredHere(run: DeclaredRun): DeclaredRun {
    return Object.fromEntries(Object.entries(run).filter(([name]) => !this.fromRegister.has(name)));
  }

  /** Keeps a column map under the account that is signed in, and offers it; null while nobody is. */
  get saveMap(): ((map: SavedColumnMap) => Promise<void>) | null {
    const { session } = this;
    if (!session) return null;
    return async (map) => {
      try {
        await session.send("POST", "/v1/column-maps", map);
        this.savedMaps(await session.list<SavedColumnMap>("/v1/column-maps"));
      } catch (error) {
        if (error instanceof Refusal && error.status === 401) this.forget("Your session has ended. Sign in again.");
        throw error;
      }
    };
  }

  private async enter(session: Session): Promise<void> {
    this.session = session;
    this.signIn.show(false);
    await this.offer();
    byId("sign-out").focus();
  }

  /** What is registered, of which nothing is chosen but what the run file names. */
  private async offer(): Promise<void> {
    const { session } = this;
    if (!session) return;
    const [specimens, benches, maps] = await Promise.all([
      session.list<Specimen>("/v1/specimens"),
      session.list<Bench>("/v1/benches"),
      session.list<SavedColumnMap>("/v1/column-maps"),
    ]);
    [this.specimens, this.benches] = [specimens, benches];
    this.fillChoice("specimenId", specimens);
    this.fillChoice("benchId", benches);
    this.savedMaps(maps);
    const missing = [
      ...(specimens.length === 0 ? ["a specimen of the pack"] : []),
      ...(benches.length === 0 ? ["your bench"] : []),
    ];
    byId("unregistered").hidden = missing.length === 0;
    byId("unregistered-what").textContent = missing.join(" and ");
    this.form.hidden = missing.length > 0;
    this.say(
      missing.length > 0
        ? "Signed in."
        : "Signed in. Choose which pack and which bench it was, and look at the verdict again.",
    );
    if (missing.length === 0) await this.choose();
  }

  private fillChoice(name: Choice, things: readonly Registered[]): void {
    const before = this.field(name).value;
    const options = things.map(({ id, label }) => element("option", { value: id }, label));
    this.field(name).replaceChildren(element("option", { value: "" }, "Choose\u2026"), ...options);
    this.field(name).value = things.some(({ id }) => id === before) ? before : "";
  }

  /** Chooses what a run file named, where it is one of one's own. */
  private async choose(): Promise<void> {
    for (const [name, things, wanted] of [
      ["specimenId", this.specimens, this.suggested.specimen],
      ["benchId", this.benches, this.suggested.bench],
    ] as const) {
      const named = things.filter(({ id, label }) => id === wanted || label === wanted);
      if (this.field(name).value === "" && named.length === 1 && named[0]) this.field(name).value = named[0].id;
      await this.takeOver(name);
    }
  }

  private async takeOver(name: Choice): Promise<void> {
    const { value } = this.field(name);
    const specimen = this.specimens.find(({ id }) => id === value);
    const bench = this.benches.find(({ id }) => id === value);
    this.lock(name, value !== "");
    if (value !== "") this.fromRegister.add(name === "specimenId" ? "pack" : "bench");
    if (name === "specimenId" && specimen && this.session) {
      const pack = await this.session.get<PackFacts>(`/v1/packs/${specimen.packId}`);
      if (this.field(name).value === value) this.registered({ pack: factsOf(pack) });
    } else if (name === "benchId" && bench) this.registered({ bench: factsOf(bench) });
  }

  private lock(name: Choice, isLocked: boolean): void {
    byId<HTMLFieldSetElement>(name === "specimenId" ? "run-pack" : "run-bench").disabled = isLocked;
  }

  private async submit(): Promise<void> {
    const { session } = this;
    if (!session) throw new Refusal("Sign in first.");
    if (!this.form.reportValidity()) throw new Refusal("Choose your pack and your bench first.");
    const upload = this.upload();
    if (typeof upload === "string") throw new Refusal(upload);
    const { pack: _, bench: __, ...declared } = upload.run;
    const startedAt = this.field("startedAt").value;
    const run = {
      ...declared,
      specimenId: this.field("specimenId").value,
      benchId: this.field("benchId").value,
      ...(startedAt === "" ? {} : { startedAt: new Date(startedAt).toISOString() }),
    };
    const content = JSON.stringify(run);
    // What is sent again unchanged is the same request; what was changed is another one.
    if (content !== this.sent.content) this.sent = { content, key: newKey() };
    const body = new FormData();
    body.append("run", content);
    body.append("log", upload.file);
    this.say("Sending the log\u2026");
    const answer = await session.post<SubmittedRun>("/v1/runs", this.sent.key, body);
    byId("submission-status").replaceChildren(...submittedText(answer));
  }

  private async signOut(): Promise<void> {
    const { session } = this;
    this.forget("Signed out.");
    await session?.close();
  }

  /** The log and what was entered stay, and so do the choices for the next sign-in; what was registered may be edited again. */
  private forget(why: string): void {
    this.session = null;
    this.suggested = { specimen: this.field("specimenId").value || null, bench: this.field("benchId").value || null };
    this.form.hidden = true;
    byId("unregistered").hidden = true;
    this.fillChoice("specimenId", []);
    this.fillChoice("benchId", []);
    for (const name of ["specimenId", "benchId"] as const) this.lock(name, false);
    this.savedMaps([]);
    this.signIn.show(true);
    this.say(why);
  }

  private field(name: string): HTMLInputElement {
    return this.form.elements.namedItem(name) as HTMLInputElement;
  }

  private on(id: string, event: "submit" | "click", work: () => Promise<void>): void {
    byId(id).addEventListener(event, (happened) => {
      happened.preventDefault();
      void this.during(work);
    });
  }

  /** One thing at a time; what was refused is said, and a session that ended is opened anew. */
  private async during(work: () => Promise<void>): Promise<void> {
    const buttons = byId("submission").querySelectorAll("button");
    for (const button of buttons) button.disabled = true;
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      if (error.status === 401 && this.session) {
        this.forget(
          "Your session has ended, and nothing was stored by this request. Sign in again; the log and the form are still here.",
        );
      } else this.say(error.message);
    } finally {
      for (const button of buttons) button.disabled = false;
    }
  }

  private say(text: string): void {
    byId("submission-status").textContent = text;
  }
}

/** What is registered, without what only the register knows. */
function factsOf(thing: object): DeclaredRun {
  const facts = Object.entries(thing).filter(([name, value]) => KNOWN.has(name) && value !== null);
  return Object.fromEntries(facts);
}

const KNOWN: ReadonlySet<string> = new Set([...Object.keys(PACK_FACTS), ...Object.keys(BENCH_FACTS)]);
