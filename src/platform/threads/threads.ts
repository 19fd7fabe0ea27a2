import { join } from "node:path";
import { MessageChannel } from "node:worker_threads";
import { Inject, Injectable, type OnApplicationShutdown } from "@nestjs/common";
import { Piscina } from "piscina";
import { CONFIG, type Config } from "../config/config.js";
import { projectRoot } from "../config/project-root.js";

type Transferable = NonNullable<NonNullable<Parameters<Piscina["run"]>[1]>["transferList"]>[number];

export interface ThreadCall {
  /** The module from the project's folder, as it is built: "src/core/evaluate.js". */
  readonly module: string;
  /** The function that the module exports: plain data in, plain data out. */
  readonly name: string;
  /** Buffers that are handed over instead of copied. */
  readonly transfer?: readonly Transferable[];
  /** Takes what the function sends while it computes, by the `port` that its input then has as a member. */
  readonly onMessage?: (message: unknown) => void;
}

/** Threads for long computations, so that none of them holds up an answer. */
@Injectable()
export class Threads implements OnApplicationShutdown {
  private readonly pool: Piscina;

  constructor(@Inject(CONFIG) config: Config) {
    this.pool = new Piscina({
      minThreads: 0,
      maxThreads: config.evaluationThreads,
      idleTimeout: 30_000,
      resourceLimits: { maxOldGenerationSizeMb: 384 },
    });
  }

  async run<Input, Output>(call: ThreadCall, input: Input): Promise<Output> {
    const { module, name, transfer = [], onMessage } = call;
    const filename = join(projectRoot, "dist", module);
    if (!onMessage) return (await this.pool.run(input, { filename, name, transferList: [...transfer] })) as Output;
    const { port1, port2 } = new MessageChannel();
    port1.on("message", onMessage);
    try {
      const transferList = [...transfer, port2];
      return (await this.pool.run({ ...input, port: port2 }, { filename, name, transferList })) as Output;
    } finally {
      port1.close();
    }
  }

  async onApplicationShutdown(): Promise<void> {
    await this.pool.close({ force: true });
  }
}
