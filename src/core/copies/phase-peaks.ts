import type { Fourier, Spectrum } from "./fourier.js";

/** The periods in the length from which on a frequency is compared. */
const MIN_PERIODS = 8;
/** Each band of frequencies reaches to this share of the one before; the narrowest to so many times its lowest frequency at least. */
export const BAND_SHARE = 1 / 4;
const MIN_BAND = 3;

/** Scores are those of a transform so many times as long as the series. */
const USUAL_LENGTHS = 2;

/** Frequencies, `to` excluded. */
export interface Band {
  readonly from: number;
  readonly to: number;
}

/** All frequencies that are compared, then ever slower ones from the same lowest one on. */
export function bandsOf(length: number, points: number): Band[] {
  const from = Math.ceil((MIN_PERIODS * length) / points);
  const bands: Band[] = [];
  for (let to = length / 2; to >= MIN_BAND * from; to = Math.floor(to * BAND_SHARE)) bands.push({ from, to });
  return bands;
}

export interface Peak {
  /** In its standard deviations over all lags, for as many zeros behind a series as it has values; 0 where a series has no phase. */
  readonly score: number;
  /** Mean cosine of the differences of phase. */
  readonly coherence: number;
  /** Steps by which the one is later. */
  readonly lag: number;
}

/** The spectrum of two series that are held against the same one: real parts are the first, imaginary parts the second. */
export type Pair = Spectrum;

/**
 * Finds where phases agree best, for two series at once: a transform of complex numbers is one of two series of real ones, there and back.
 *
 * Over all lags the agreement of `n` phases has the mean square `n` / 2 (M.-A. Parseval), so its scatter need not be computed. Zeros behind the
 * values make phases of neighbouring frequencies depend on each other: a peak grows with the root of their number, which the score leaves out.
 */
export class PhasePeaks {
  private readonly work: Spectrum;
  private readonly sums: Spectrum;
  /** The places of the lags within reach: from 0 on, then the negative ones from the farthest on. */
  private readonly lags: Int32Array;

  /**
   * @param points how many values each series has before its zeros
   * @param reach lags tried in either direction
   */
  constructor(
    private readonly fourier: Fourier,
    private readonly bands: readonly Band[],
    private readonly points: number,
    private readonly reach: number,
  ) {
    this.work = fourier.room("agreement");
    this.sums = fourier.room("sums of agreements");
    this.lags = lagsWithin(reach, fourier.length);
  }

  /**
   * The lag within reach at which the phases of each band agree best, for the first and for the second of a pair.
   *
   * @param one spectrum of what both are held against
   * @param narrowest the last band that is asked for
   */
  of(one: Spectrum, pair: Pair, narrowest = this.bands.length - 1): [Peak[], Peak[]] {
    const peaks: [Peak[], Peak[]] = [[], []];
    const { sums } = this;
    sums.re.fill(0);
    sums.im.fill(0);
    const counts = [0, 0] as [number, number];
    // From the narrowest band on, each adds what it has beyond the one before.
    for (let i = narrowest; i >= 0; i--) {
      const { from, to } = this.bands[i] as Band;
      const narrower = i < narrowest ? this.bands[i + 1]?.to : undefined;
      const [first, second] = this.agreement(one, pair, { from: narrower ?? from, to });
      counts[0] += first;
      counts[1] += second;
      this.addWithinReach(sums);
      peaks[0].unshift(this.highest(sums.re, counts[0], to - from));
      peaks[1].unshift(this.highest(sums.im, counts[1], to - from));
    }
    return peaks;
  }

  /**
   * Computes the sum of cosines of the differences of phase at every lag, twice over: of the first series as real parts, of the second as imaginary ones.
   *
   * @returns how many frequencies each has a phase at
   */
  private agreement(one: Spectrum, pair: Pair, { from, to }: Band): [number, number] {
    const { re, im } = this.work;
    const { places, length } = this.fourier;
    re.fill(0);
    im.fill(0);
    let [first, second] = [0, 0];
    for (let k = from; k < to; k++) {
      const mirror = length - k;
      const a = one.re[k] as number;
      const b = one.im[k] as number;
      // Twice the spectra of the first and the second series.
      const c1 = (pair.re[k] as number) + (pair.re[mirror] as number);
      const d1 = (pair.im[k] as number) - (pair.im[mirror] as number);
      const c2 = (pair.im[k] as number) + (pair.im[mirror] as number);
      const d2 = (pair.re[mirror] as number) - (pair.re[k] as number);
      let re1 = a * c1 + b * d1;
      let im1 = b * c1 - a * d1;
      let re2 = a * c2 + b * d2;
      let im2 = b * c2 - a * d2;
      const size1 = Math.sqrt(re1 * re1 + im1 * im1);
      const size2 = Math.sqrt(re2 * re2 + im2 * im2);
      if (size1 > 0) {
        re1 /= size1;
        im1 /= size1;
        first++;
      }
      if (size2 > 0) {
        re2 /= size2;
        im2 /= size2;
        second++;
      }
      // The transform of the conjugate is the inverse transform.
      const place = places[k] as number;
      const mirrored = places[mirror] as number;
      re[place] = re1 + im2;
      im[place] = re2 - im1;
      re[mirrored] = re1 - im2;
      im[mirrored] = re2 + im1;
    }
    this.fourier.transformReversed(this.work, this.reach);
    return [first, second];
  }

  private addWithinReach(sums: Spectrum): void {
    const { re, im } = this.work;
    for (let i = 0; i < this.lags.length; i++) {
      const lag = this.lags[i] as number;
      sums.re[lag] = (sums.re[lag] as number) + (re[lag] as number) / 2;
      sums.im[lag] = (sums.im[lag] as number) + (im[lag] as number) / 2;
    }
  }

  private highest(sums: Float64Array, count: number, width: number): Peak {
    let best = 0;
    for (let i = 0; i < this.lags.length; i++) {
      const lag = this.lags[i] as number;
      if ((sums[lag] as number) > (sums[best] as number)) best = lag;
    }
    if (count === 0) return { score: 0, coherence: 0, lag: 0 };
    const height = sums[best] as number;
    return {
      score: height / Math.sqrt((count / 2) * (sums.length / this.points / USUAL_LENGTHS)),
      coherence: height / width,
      lag: best > sums.length / 2 ? best - sums.length : best,
    };
  }
}

function lagsWithin(reach: number, length: number): Int32Array {
  const lags = new Int32Array(Math.min(length, 2 * reach + 1));
  for (let i = 0; i < lags.length; i++) lags[i] = i <= reach ? i : length - lags.length + i;
  return lags;
}
