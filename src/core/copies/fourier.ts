import { cos, sin } from "../numerics/library.js";

/** A spectrum: real and imaginary parts of each frequency. */
export interface Spectrum {
  readonly re: Float64Array;
  readonly im: Float64Array;
}

/** The discrete Fourier transform of a fixed length, which must be a power of two. */
export class Fourier {
  /** Where each value has to stand before `transformReversed`: the binary digits of the place are those of its number in reverse. */
  readonly places: Int32Array;
  private readonly cosines: Float64Array;
  private readonly sines: Float64Array;
  private readonly rooms = new Map<string, Spectrum>();

  constructor(readonly length: number) {
    const angles = Float64Array.from({ length }, (_, k) => (-2 * Math.PI * k) / length);
    this.cosines = angles.map(cos);
    this.sines = angles.map(sin);
    this.places = reversedPlaces(length);
  }

  /** The spectrum of real values, filled up with zeros; written into `spectrum`. */
  of(values: Float64Array, spectrum = this.zeros()): Spectrum {
    this.place(values, spectrum.re);
    spectrum.im.fill(0);
    this.transformReversed(spectrum);
    return spectrum;
  }

  /** Writes values to their places, filled up with zeros. */
  place(values: Float64Array, into: Float64Array): void {
    const { places } = this;
    into.fill(0);
    for (let i = 0; i < values.length; i++) into[places[i] as number] = values[i] as number;
  }

  /** Room for a spectrum. */
  zeros(): Spectrum {
    return { re: new Float64Array(this.length), im: new Float64Array(this.length) };
  }

  /** The same room for a purpose each time, with whatever was left in it: a search takes it thousands of times, and leaves no garbage. */
  room(purpose: string): Spectrum {
    const found = this.rooms.get(purpose) ?? this.zeros();
    this.rooms.set(purpose, found);
    return found;
  }

  /** sum x_n exp(-2 pi i k n / N), in place. */
  transform(values: Spectrum): void {
    this.reverse(values.re);
    this.reverse(values.im);
    this.transformReversed(values);
  }

  /**
   * The same of values that stand in their `places`, by radix 4 with one step of radix 2 where N is no power of four (J. W. Cooley and J. W. Tukey,
   * Mathematics of Computation 19 (1965) 297; from memory).
   *
   * @param reach how far from the first place results are asked for, in either direction around the end; what lies farther is left unfinished
   */
  transformReversed({ re, im }: Spectrum, reach = this.length): void {
    let size = 1;
    if (Math.clz32(this.length) % 2 === 0) {
      this.joinPairs(re, im);
      size = 2;
    }
    for (; size < this.length; size *= 4) this.joinFours(re, im, size, reach);
  }

  private joinPairs(re: Float64Array, im: Float64Array): void {
    for (let at = 0; at < this.length; at += 2) {
      const r = re[at + 1] as number;
      const i = im[at + 1] as number;
      re[at + 1] = (re[at] as number) - r;
      im[at + 1] = (im[at] as number) - i;
      re[at] = (re[at] as number) + r;
      im[at] = (im[at] as number) + i;
    }
  }

  /** Makes the transforms of four parts, each `size` long and in the order of their reversed binary digits, one of four times the length. */
  private joinFours(re: Float64Array, im: Float64Array, size: number, reach: number): void {
    const { cosines, sines, length } = this;
    const stride = length / (4 * size);
    for (let k = 0; k < size; k++) {
      if (k > reach && k < size - reach) {
        k = size - reach - 1;
        continue;
      }
      const turn = k * stride;
      const c1 = cosines[turn] as number;
      const s1 = sines[turn] as number;
      const c2 = cosines[2 * turn] as number;
      const s2 = sines[2 * turn] as number;
      const c3 = cosines[3 * turn] as number;
      const s3 = sines[3 * turn] as number;
      for (let at0 = k; at0 < length; at0 += 4 * size) {
        const at1 = at0 + size;
        const at2 = at1 + size;
        const at3 = at2 + size;
        const r0 = re[at0] as number;
        const i0 = im[at0] as number;
        // Reversed digits bring the part that begins at the second sample to the third place.
        const r2 = (re[at1] as number) * c2 - (im[at1] as number) * s2;
        const i2 = (re[at1] as number) * s2 + (im[at1] as number) * c2;
        const r1 = (re[at2] as number) * c1 - (im[at2] as number) * s1;
        const i1 = (re[at2] as number) * s1 + (im[at2] as number) * c1;
        const r3 = (re[at3] as number) * c3 - (im[at3] as number) * s3;
        const i3 = (re[at3] as number) * s3 + (im[at3] as number) * c3;
        re[at0] = r0 + r2 + (r1 + r3);
        im[at0] = i0 + i2 + (i1 + i3);
        re[at1] = r0 - r2 + (i1 - i3);
        im[at1] = i0 - i2 - (r1 - r3);
        re[at2] = r0 + r2 - (r1 + r3);
        im[at2] = i0 + i2 - (i1 + i3);
        re[at3] = r0 - r2 - (i1 - i3);
        im[at3] = i0 - i2 + (r1 - r3);
      }
    }
  }

  private reverse(values: Float64Array): void {
    const { places } = this;
    for (let i = 0; i < places.length; i++) {
      const j = places[i] as number;
      if (j <= i) continue;
      const value = values[i] as number;
      values[i] = values[j] as number;
      values[j] = value;
    }
  }
}

function reversedPlaces(length: number): Int32Array {
  const places = new Int32Array(length);
  for (let i = 1, j = 0; i < length; i++) {
    let bit = length >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    places[i] = j;
  }
  return places;
}

const known = new Map<number, Fourier>();

/** The transform of a length, whose tables are made once: there are a few dozen powers of two. */
export function fourierOf(length: number): Fourier {
  const found = known.get(length) ?? new Fourier(length);
  known.set(length, found);
  return found;
}
