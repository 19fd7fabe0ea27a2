import { Injectable } from "@nestjs/common";

/** Everything that a service may wait for before it is ready. */
export const WAITED_FOR = ["database", "migrations", "demo", "storage", "dataset-storage"] as const;
export type WaitedFor = (typeof WAITED_FOR)[number];

/** What the service waits for until it counts as ready. */
@Injectable()
export class Readiness {
  private readonly open = new Set<WaitedFor>();

  get waitingFor(): readonly WaitedFor[] {
    return [...this.open];
  }

  waitFor(what: WaitedFor): void {
    this.open.add(what);
  }

  done(what: WaitedFor): void {
    this.open.delete(what);
  }
}
