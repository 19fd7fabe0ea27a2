import type { LoadKind } from "../../../src/core/model.js";
import { simulateDischarge } from "./discharge.js";
import { constantCurrent, constantPower, type LoadLaw, resistance, standardLoadOhm, throttle } from "./load.js";
import type { SimulatedPack } from "./pack.js";
import type { Random } from "./random.js";

export interface SizedLoad {
  readonly kind: LoadKind;
  /** The standard load, A, to which the current is sized. */
  readonly standardA: number;
  /** Current at 10 s over that which the standard load draws there. */
  readonly ratio: number;
}

const AT_SECONDS = 10;

/** A load of a kind whose current at 10 s is about `ratio` times that of a standard load. */
export function sizeLoad(pack: SimulatedPack, { kind, standardA, ratio }: SizedLoad, random: Random): LoadLaw {
  const ohm = standardLoadOhm(pack.facts.series, standardA);
  const { voltage, current } = simulateDischarge({
    pack,
    load: resistance(ohm),
    startC: 24,
    ambientC: 24,
    restSeconds: 0.05,
    rampSeconds: 0,
    stop: { volts: 0, holdSeconds: 1, latestSeconds: AT_SECONDS },
    afterSeconds: 0,
  });
  // The last instant stands twice: the second is without load.
  const [volts, amperes] = [voltage.at(-2) as number, current.at(-2) as number];
  const inner = ((voltage[0] as number) - volts) / amperes;
  const wanted = ratio * amperes;
  const then = (voltage[0] as number) - wanted * inner;
  switch (kind) {
    case "constant-resistance":
      return resistance(then / wanted);
    case "constant-current":
      return constantCurrent(wanted);
    case "constant-power":
      return constantPower(then * wanted);
    case "throttle":
      return throttle({
        amperes: wanted,
        volts: then,
        exponent: random.between(1.2, 1.9),
        wanderShare: random.between(0, 0.01),
        wanderSeconds: random.logBetween(3, 60),
      });
  }
}
