import type { ChildProcess } from "node:child_process";
import { setTimeout as delay } from "node:timers/promises";
import { Logger } from "@nestjs/common";
import { stopPostmaster } from "./orphan.js";

/** A killed server's children may hold its memory for a moment: how often, and how far apart, a new one is tried. */
const TRIES = 40;
const TRY_AGAIN_MS = 250;

export interface Supervision {
  readonly launch: () => Promise<ChildProcess>;
  /** Clears what a killed server leaves. */
  readonly clear: () => Promise<void>;
  /** Whether the data folder is still this process's. */
  readonly isOurs: () => Promise<boolean>;
}

/** Keeps one database server running: one that ends though nobody stopped it is followed by another. */
export async function superviseServer({ launch, clear, isOurs }: Supervision): Promise<{ stop(): Promise<void> }> {
  const logger = new Logger("Database");
  let isStopping = false;
  let relaunching: Promise<void> = Promise.resolve();
  let server: ChildProcess;

  const watch = (started: ChildProcess) => {
    server = started;
    if (started.exitCode !== null || started.signalCode !== null) onEnd();
    else started.once("exit", onEnd);
  };
  const onEnd = () => {
    if (!isStopping) relaunching = relaunch();
  };
  const relaunch = async () => {
    for (let attempt = 1; ; attempt++) {
      await delay(TRY_AGAIN_MS);
      if (isStopping || !(await isOurs())) return;
      try {
        logger.warn("the database server ended; it is started again");
        await clear();
        watch(await launch());
        return;
      } catch (error) {
        if (attempt === TRIES) throw error;
      }
    }
  };

  watch(await launch());
  return {
    async stop() {
      isStopping = true;
      await relaunching;
      if (server.pid !== undefined) await stopPostmaster(server.pid);
    },
  };
}
