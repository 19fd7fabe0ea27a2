/**
 * A source whose voltage over the charge drawn q is U(q) = U0 + a exp(-q / q0), behind one resistance r: with a > 0 and q0 > 0 it
 * settles, with a < 0 and q0 < 0 it falls ever faster, as a flat cell does toward its end.
 *
 * Under a resistance R the differential equation dq/dt = U(q) / (R + r) becomes linear in y = exp(q / q0); under a constant current
 * q = I t. Both are closed forms (derived). Under a constant power the current is (U - sqrt(U^2 - 4 r P)) / (2 r) and the charge over
 * time is integrated numerically (Runge and Kutta's fourth-order rule in steps of 5 ms).
 */
export interface ExponentialSource {
  readonly U0: number;
  readonly a: number;
  /** Coulomb. */
  readonly q0: number;
  readonly ohm: number;
}

export type SourceLoad =
  | { readonly kind: "constant-resistance"; readonly ohm: number }
  | { readonly kind: "constant-current"; readonly amperes: number }
  | { readonly kind: "constant-power"; readonly watts: number };

/** A discharge from q = 0: seconds from the switching on of the load. */
export interface SourceCourse {
  /** Charge drawn at an instant, coulomb. */
  charge(seconds: number): number;
  volts(seconds: number): number;
  amperes(seconds: number): number;
}

const STEP_S = 0.005;

export const sourceVolts = ({ U0, a, q0 }: ExponentialSource, coulomb: number): number =>
  U0 + a * Math.exp(-coulomb / q0);

/** Integral of U over the charge drawn, J. */
const sourceEnergy = ({ U0, a, q0 }: ExponentialSource, coulomb: number): number =>
  U0 * coulomb - a * q0 * Math.expm1(-coulomb / q0);

/** What the source does under a load. */
export function courseOf(source: ExponentialSource, load: SourceLoad): SourceCourse {
  const { ohm: r } = source;
  const at = (charge: (seconds: number) => number, amperes: (volts: number) => number): SourceCourse => {
    const current = (seconds: number) => amperes(sourceVolts(source, charge(seconds)));
    return {
      charge,
      amperes: current,
      volts: (seconds) => sourceVolts(source, charge(seconds)) - r * current(seconds),
    };
  };
  switch (load.kind) {
    case "constant-current":
      return at(
        (seconds) => load.amperes * seconds,
        () => load.amperes,
      );
    case "constant-resistance":
      return at(
        (seconds) => chargeUnderResistance(source, load.ohm, seconds),
        (volts) => volts / (load.ohm + r),
      );
    case "constant-power": {
      const amperes = (volts: number) => (volts - Math.sqrt(volts * volts - 4 * r * load.watts)) / (2 * r);
      return at(
        integrated((coulomb) => amperes(sourceVolts(source, coulomb))),
        amperes,
      );
    }
  }
}

/** q(t) = q0 ln((1 + a/U0) exp(U0 t / (q0 (R + r))) - a/U0). */
function chargeUnderResistance({ U0, a, q0, ohm }: ExponentialSource, load: number, seconds: number): number {
  const grown = Math.exp((U0 * seconds) / (q0 * (load + ohm)));
  return q0 * Math.log((1 + a / U0) * grown - a / U0);
}

/** Charge over time for a current that depends on the charge, as far as it is asked for; between the steps a cubic with the right slopes. */
function integrated(amperes: (coulomb: number) => number): (seconds: number) => number {
  const charges = [0];
  const step = () => {
    const q = charges.at(-1) as number;
    const k1 = amperes(q);
    const k2 = amperes(q + (STEP_S * k1) / 2);
    const k3 = amperes(q + (STEP_S * k2) / 2);
    const k4 = amperes(q + STEP_S * k3);
    charges.push(q + (STEP_S * (k1 + 2 * k2 + 2 * k3 + k4)) / 6);
  };
  return (seconds) => {
    const k = Math.floor(seconds / STEP_S);
    while (charges.length < k + 2) step();
    const s = seconds / STEP_S - k;
    const [q0, q1] = [charges[k] as number, charges[k + 1] as number];
    const [m0, m1] = [STEP_S * amperes(q0), STEP_S * amperes(q1)];
    return q0 + s * (m0 + s * (3 * (q1 - q0) - 2 * m0 - m1 + s * (m0 + m1 - 2 * (q1 - q0))));
  };
}

/** The figures of the source under a resistance that comes on at once, to a cutoff, all in closed form. */
export interface ExponentialFigures {
  readonly "power-10s": number;
  readonly "power-30s": number;
  /** mAh. */
  readonly capacity: number;
  /** Wh. */
  readonly energy: number;
  /** s. */
  readonly runtime: number;
}

export function figuresUnderResistance(
  source: ExponentialSource,
  loadOhm: number,
  cutoffVolts: number,
): ExponentialFigures {
  const { U0, a, q0, ohm } = source;
  // V = U R / (R + r) reaches the cutoff at this charge.
  const end = -q0 * Math.log(((cutoffVolts * (loadOhm + ohm)) / loadOhm - U0) / a);
  // V I dt = U R / (R + r) dq.
  const joule = (from: number, to: number) =>
    (loadOhm / (loadOhm + ohm)) * (sourceEnergy(source, to) - sourceEnergy(source, from));
  const meanPower = (from: number, to: number) =>
    joule(chargeUnderResistance(source, loadOhm, from), chargeUnderResistance(source, loadOhm, to)) / (to - from);
  const runtime = ((q0 * (loadOhm + ohm)) / U0) * Math.log((Math.exp(end / q0) + a / U0) / (1 + a / U0));
  return {
    "power-10s": meanPower(9.5, 10.5),
    "power-30s": meanPower(29.5, 30.5),
    capacity: end / 3.6,
    energy: joule(0, end) / 3600,
    runtime,
  };
}
