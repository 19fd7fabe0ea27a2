import { Presets, SingleBar } from "cli-progress";

/** Shows how far a long work has come, on the terminal only: a file or a pipe sees nothing of it. */
export class ProgressBar {
  private readonly bar: SingleBar | undefined;

  constructor(name: string) {
    if (!process.stderr.isTTY) return;
    const format = "{bar} {percentage} %  {stage}  {name}";
    const options = { format, stream: process.stderr, clearOnComplete: true, hideCursor: true, barsize: 24 };
    this.bar = new SingleBar(options, Presets.shades_classic);
    this.bar.start(1, 0, { stage: "begins", name });
  }

  show({ stage, done, total }: { stage: string; done: number; total: number }): void {
    this.bar?.setTotal(Math.max(1, total));
    this.bar?.update(done, { stage });
  }

  end(): void {
    this.bar?.stop();
  }
}
