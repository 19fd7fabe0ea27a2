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
  let step = stepOf(heat, Number.NaN);
  for (let i = 0; i < seconds.length; i++) {
    const h = seconds[i] as number;
    if (h !== step.h) step = stepOf(heat, h);
    const [before, beforeSkin] = [core, skin];
    // The core's equation put into the skin's.
    const warmed = (core + (h * (watts[i] as number)) / heat.coreJoulePerKelvin) / step.coreGives;
    skin = (skin + step.outward * warmed + step.away * ambientC) / step.skinGives;
    core = warmed + step.inwardShare * skin;
    coreC[i] = (before + core) / 2;
    skinC[i] = (beforeSkin + skin) / 2;
  }
  return { coreC, skinC };
}

/** What a step takes of the heat alone; most stretches of a run are equally long. */
function stepOf(
  { coreJoulePerKelvin, skinJoulePerKelvin, coreToSkinWattPerKelvin, skinToAirWattPerKelvin }: CellHeat,
  h: number,
) {
  const inward = (h * coreToSkinWattPerKelvin) / coreJoulePerKelvin;
  const outward = (h * coreToSkinWattPerKelvin) / skinJoulePerKelvin;
  const away = (h * skinToAirWattPerKelvin) / skinJoulePerKelvin;
  return {
    h,
    outward,
    away,
    coreGives: 1 + inward,
    skinGives: 1 + outward + away - (outward * inward) / (1 + inward),
    inwardShare: inward / (1 + inward),
  };
}
