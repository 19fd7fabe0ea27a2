import { Injectable } from "@nestjs/common";

/** What the service waits for until it counts as ready. */
@Injectable()
export class Readiness {
  private readonly open = new Set<string>();

  get waitingFor(): readonly string[] {
    return [...this.open];
  }

  waitFor(what: string): void {
    this.open.add(what);
  }

  done(what: string): void {
    this.open.delete(what);
  }
}
