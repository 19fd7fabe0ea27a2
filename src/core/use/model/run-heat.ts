/** Heat of one cell in two nodes: what warms, and its skin, which the probe reads. */
export interface CellHeat {
  readonly coreJoulePerKelvin: number;
  readonly skinJoulePerKelvin: number;
  readonly coreToSkinWattPerKelvin: number;
  readonly skinToAirWattPerKelvin: number;
}

export interface WarmedRun {
  readonly coreC: Float64Array;
  readonly skinC: Float64Array;
}

/** Share of the heat capacity that the skin has. */
const SKIN_SHARE = 0.12;

export const heatOf = (joulePerKelvin: number, skinSeconds: number, airSeconds: number): CellHeat => ({
  coreJoulePerKelvin: (1 - SKIN_SHARE) * joulePerKelvin,
  skinJoulePerKelvin: SKIN_SHARE * joulePerKelvin,
  coreToSkinWattPerKelvin: (SKIN_SHARE * joulePerKelvin) / skinSeconds,
  skinToAirWattPerKelvin: joulePerKelvin / airSeconds,
});

/**
 * Temperatures at the middle of each stretch from the heat that a cell loses its voltage to, by implicit steps of Euler's method: stable
 * for stretches of any length.
 */
export function warm(
  heat: CellHeat,
  seconds: Float64Array,
  watts: Float64Array,
  startC: number,
  ambientC: number,
): WarmedRun {
  const coreC = new Float64Array(seconds.length);
  const skinC = new Float64Array(seconds.length);
  let [core, skin] = [startC, startC];
  for (let i = 0; i < seconds.length; i++) {
    const h = seconds[i] as number;
    const [before, beforeSkin] = [core, skin];
    [core, skin] = warmedBy(heat, core, skin, h, watts[i] as number, ambientC);
    coreC[i] = (before + core) / 2;
    skinC[i] = (beforeSkin + skin) / 2;
  }
  return { coreC, skinC };
}

function warmedBy(
  { coreJoulePerKelvin, skinJoulePerKelvin, coreToSkinWattPerKelvin, skinToAirWattPerKelvin }: CellHeat,
  core: number,
  skin: number,
  h: number,
  watts: number,
  ambientC: number,
): [core: number, skin: number] {
  const inward = (h * coreToSkinWattPerKelvin) / coreJoulePerKelvin;
  const outward = (h * coreToSkinWattPerKelvin) / skinJoulePerKelvin;
  const away = (h * skinToAirWattPerKelvin) / skinJoulePerKelvin;
  // The core's equation put into the skin's.
  const warmed = (core + (h * watts) / coreJoulePerKelvin) / (1 + inward);
  const next = (skin + outward * warmed + away * ambientC) / (1 + outward + away - (outward * inward) / (1 + inward));
  return [warmed + (inward / (1 + inward)) * next, next];
}
