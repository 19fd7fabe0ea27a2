/** A spectrum: real and imaginary parts of each frequency. */
export interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** The discrete Fourier transform of a fixed length, which must be a power of two. */
export class Fourier {
  private readonly cosines: Float64Array;
  private readonly sines: Float64Array;

  constructor(readonly length: number) {
    const angles = Float64Array.from({ length: length / 2 }, (_, k) => (-2 * Math.PI * k) / length);
    this.cosines = angles.map(Math.cos);
    this.sines = angles.map(Math.sin);
  }

  /** The spectrum of real values, filled up with zeros. */
  of(values: Float64Array): Spectrum {
    const spectrum = { re: new Float64Array(this.length), im: new Float64Array(this.length) };
    spectrum.re.set(values);
    this.transform(spectrum);
    return spectrum;
  }

  /**
   * sum x_n exp(-2 pi i k n / N), in place, by radix 2 (J. W. Cooley and J. W. Tukey, Mathematics of Computation 19 (1965) 297; from
   * memory).
   */
  transform({ re, im }: Spectrum): void {
    reverseBits(re, im);
    for (let size = 2; size <= this.length; size *= 2) {
      const [half, stride] = [size / 2, this.length / size];
      for (let first = 0; first < this.length; first += size) {
        for (let k = 0; k < half; k++) {
          const even = first + k;
          const odd = even + half;
          const cosine = this.cosines[k * stride] as number;
          const sine = this.sines[k * stride] as number;
          const a = (re[odd] as number) * cosine - (im[odd] as number) * sine;
          const b = (re[odd] as number) * sine + (im[odd] as number) * cosine;
          re[odd] = (re[even] as number) - a;
          im[odd] = (im[even] as number) - b;
          re[even] = (re[even] as number) + a;
          im[even] = (im[even] as number) + b;
        }
      }
    }
  }
}

/** Swaps each place with the one whose binary digits are its own in reverse. */
function reverseBits(re: Float64Array, im: Float64Array): void {
  for (let i = 1, j = 0; i < re.length; i++) {
    let bit = re.length >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i >= j) continue;
    [re[i], re[j]] = [re[j] as number, re[i] as number];
    [im[i], im[j]] = [im[j] as number, im[i] as number];
  }
}
