import { PACK, productOf } from "../support/facts.js";
import { Asker } from "./asker.js";

const LOOK_MS = 20;

/**
 * Somebody who writes at one service and looks for it at once at another, as a stranger; and who was shown a state of the record and asks there
 * whether it is shown an older one.
 */
export class WriterAndStranger {
  private readonly faults: string[] = [];
  private readonly writer: Asker;
  private readonly stranger: Asker;
  private looks = 0;
  private position = 0;
  private isEnding = false;
  private working: Promise<void> = Promise.resolve();

  /**
   * @param urls of two services on one record
   * @param token of a tester
   */
  constructor(
    [here, there]: readonly [string, string],
    private readonly token: string,
  ) {
    this.writer = new Asker(here);
    this.stranger = new Asker(there);
  }

  start(): void {
    this.working = this.goOn();
  }

  async end(): Promise<{ readonly faults: readonly string[]; readonly looks: number }> {
    this.isEnding = true;
    await this.working;
    const late = [...this.writer.late, ...this.stranger.late].map((what) => `not answered in time: ${what}`);
    const errors = this.writer.serverErrors + this.stranger.serverErrors;
    return { looks: this.looks, faults: [...this.faults, ...late, ...(errors > 0 ? [`${errors} answers 500`] : [])] };
  }

  private async goOn(): Promise<void> {
    for (let number = 1; !this.isEnding; number++) {
      const json = productOf(`Column ${number}`, { ...PACK, ratedCapacityMah: 10_000 + number });
      const written = await this.writer.ask("/v1/packs", { method: "POST", token: this.token, json });
      if (written?.status === 201) await this.look(String(written.body.id));
      for (const asker of [this.stranger, this.writer]) await this.lookBack(asker);
      await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    }
  }

  private async look(id: string): Promise<void> {
    const seen = await this.stranger.ask(`/v1/packs/${id}`);
    this.looks++;
    if (seen?.status === 404) this.faults.push(`a stranger was not shown the pack ${id} that was written`);
  }

  private async lookBack(asker: Asker): Promise<void> {
    const seen = await asker.ask("/v1/changes?last=1");
    if (seen?.status !== 200) return;
    const [newest] = seen.body.items as { readonly position: number }[];
    const position = newest?.position ?? 0;
    if (position < this.position) this.faults.push(`shown change ${position} after ${this.position}`);
    this.position = position;
  }
}
