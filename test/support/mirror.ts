import type { ChangeView } from "../../src/features/changes/changes.views.js";
import type { TestApp } from "./app.js";

type Kind = "pack" | "run" | "tester" | "standings";
interface Page {
  readonly items: readonly ChangeView[];
  readonly pageInfo: { readonly endCursor: string | null; readonly hasNextPage: boolean };
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
    private readonly app: TestApp,
    private cursor: string | null = null,
    private readonly pageSize = 7,
  ) {}

  /** Reads on until nothing follows. */
  async follow(): Promise<void> {
    for (let more = true; more; ) {
      const after = this.cursor === null ? "" : `&after=${this.cursor}`;
      const page = (await this.app.inject({ url: `/v1/changes?first=${this.pageSize}${after}` })).json<Page>();
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
