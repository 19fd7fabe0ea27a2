/** Kinds of jobs that may not take every place of a worker: long logs, and what nobody waits for. */
export const LANES = ["long", "background"] as const;
export type Lane = (typeof LANES)[number];

/** How many jobs of a lane one worker does at a time: logs that take much memory go one after another. */
const MAX_LONG = 1;

/** Which lanes a job or a computation may not take now. One place stays free for what is short, where there are several. */
export function closedLanes(doing: Readonly<Record<Lane, number>>, places: number): Lane[] {
  const isFull = doing.long + doing.background >= Math.max(1, places - 1);
  return LANES.filter((lane) => isFull || (lane === "long" && doing.long >= MAX_LONG));
}

/**
 * The places of one worker of the queue. Several of its loops may ask for a job at the same time, and what each is given is
 * known only later: until then a loop that asked counts as one that was given a long job.
 */
export class WorkerPlaces {
  private asking = 0;
  private readonly doing: Record<Lane, number> = { long: 0, background: 0 };

  constructor(private readonly places: number) {}

  /** A loop asks for a job. @returns the lanes whose jobs it may not be given */
  ask(): Lane[] {
    const { long, background } = this.doing;
    const closed = closedLanes({ long: long + this.asking, background }, this.places);
    this.asking++;
    return closed;
  }

  /** What a loop asked for was answered, with a job or without. */
  answered(): void {
    this.asking--;
  }

  begin(lane: Lane | null): void {
    if (lane) this.doing[lane]++;
  }

  end(lane: Lane | null): void {
    if (lane) this.doing[lane]--;
  }
}
