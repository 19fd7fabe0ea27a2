import type { ChangeView } from "../../src/features/changes/changes.views.js";

type Kind = "pack" | "run" | "tester" | "standings";
interface Page {
  readonly items: readonly ChangeView[];
  readonly pageInfo: { readonly endCursor: string | null; readonly hasNextPage: boolean };
}

/** A service that is asked: one of the tests, or one that a test has started itself. */
interface Source {
  inject(options: { method: "GET"; url: string }): Promise<{ statusCode: number; json: <T>() => T }>;
}

/** A copy of the public record that knows nothing but what the feed of changes says. */
export class Mirror {
  readonly things: Readonly<Record<Kind, Map<string, unknown>>> = {
    pack: new Map(),
    run: new Map(),
    tester: new Map(),
    standings: new Map(),
  };
  /** Every change that was read, in order. */
  readonly read: ChangeView[] = [];

  constructor(
    private app: Source,
    private cursor: string | null = null,
    private readonly pageSize = 7,
  ) {}

  /** Finds another service at the address from now on. */
  turnTo(app: Source): void {
    this.app = app;
  }

  /** Reads on until nothing follows. Begins anew where the record was restored from a backup that lacks what was read. */
  async follow(): Promise<void> {
    for (let more = true; more; ) {
      const after = this.cursor === null ? "" : `&after=${this.cursor}`;
      const answer = await this.app.inject({ method: "GET", url: `/v1/changes?first=${this.pageSize}${after}` });
      if (answer.statusCode === 410) {
        this.cursor = null;
        for (const things of Object.values(this.things)) things.clear();
        continue;
      }
      const page = answer.json<Page>();
      for (const change of page.items) this.apply(change);
      this.cursor = page.pageInfo.endCursor ?? this.cursor;
      more = page.pageInfo.hasNextPage;
    }
  }

  private apply(change: ChangeView): void {
    this.read.push(change);
    const things = this.things[change.kind as Kind];
    if (change.state === "removed") things.delete(change.subjectId);
    if (change.state === "current") things.set(change.subjectId, change[change.kind as Kind]);
  }
}
