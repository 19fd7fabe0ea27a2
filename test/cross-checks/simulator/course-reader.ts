import type { Course } from "./discharge.js";

/** A channel of a course as a line between instants that may stand twice: at a switch the later value counts from there on. */
export class ChannelReader {
  private readonly sums: Float64Array;

  constructor(
    private readonly time: Float64Array,
    private readonly values: Float64Array,
  ) {
    this.sums = new Float64Array(time.length);
    for (let k = 1; k < time.length; k++) {
      const width = (time[k] as number) - (time[k - 1] as number);
      const mean = ((values[k] as number) + (values[k - 1] as number)) / 2;
      this.sums[k] = (this.sums[k - 1] as number) + width * mean;
    }
  }

  at(seconds: number): number {
    const k = this.place(seconds);
    const [t0, t1] = [this.time[k] as number, this.time[k + 1] as number];
    const [y0, y1] = [this.values[k] as number, this.values[k + 1] as number];
    return t1 > t0 ? y0 + ((y1 - y0) * (seconds - t0)) / (t1 - t0) : y1;
  }

  integral(from: number, to: number): number {
    return this.sumTo(to) - this.sumTo(from);
  }

  mean(from: number, to: number): number {
    return this.integral(from, to) / (to - from);
  }

  private sumTo(seconds: number): number {
    const k = this.place(seconds);
    const width = seconds - (this.time[k] as number);
    return (this.sums[k] as number) + (width * ((this.values[k] as number) + this.at(seconds))) / 2;
  }

  /** The last interval that begins at or before `seconds`. */
  private place(seconds: number): number {
    let [low, high] = [0, this.time.length - 2];
    while (low < high) {
      const middle = (low + high + 1) >> 1;
      if ((this.time[middle] as number) <= seconds) low = middle;
      else high = middle - 1;
    }
    return low;
  }
}

export interface CourseReaders {
  readonly V: ChannelReader;
  readonly I: ChannelReader;
  readonly P: ChannelReader;
  readonly T: ChannelReader;
}

export function readersOf({ time, voltage, current, temperature }: Course): CourseReaders {
  const power = voltage.map((volts, k) => volts * (current[k] as number));
  return {
    V: new ChannelReader(time, voltage),
    I: new ChannelReader(time, current),
    P: new ChannelReader(time, power),
    T: new ChannelReader(time, temperature),
  };
}
