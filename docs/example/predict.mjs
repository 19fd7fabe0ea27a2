// Predicts a use of a pack from its published model (GET /v1/packs/{id}/model, `model`), as docs/use.md defines it.
// use: { steps: [{ seconds, powerW | currentA | resistanceOhm }], repeats, startC, ambientC }, all of the pack.
// Returns [{ timeS, voltageV, currentA, temperatureC, chargeMah }] every `h` seconds, until a cell falls below `endVolts`.
export function predict(model, use, endVolts, h = 0.1) {
  const at = (table, z) => {
    const place = Math.min(Math.max(z, 0), 1) * (table.length - 1);
    const k = Math.min(Math.floor(place), table.length - 2);
    return table[k] + (place - k) * (table[k + 1] - table[k]);
  };
  const beyond = (z) => Math.max(0, z - 1) * 256 * (model.sourceVolts[256] - model.sourceVolts[255]);
  const warm = (slopeK, celsius) => Math.exp(slopeK * (1 / (celsius + 273.15) - 1 / 298.15));
  const { heat, series } = model;
  const relaxed = model.relaxations.map(() => 0);
  let [time, drawnAs, amps, core, skin] = [0, 0, 0, use.startC, use.startC];
  const points = [];
  for (let n = 0; n < use.repeats; n++) {
    for (const step of use.steps) {
      for (let since = 0; since < step.seconds - 1e-9; since += h, time += h) {
        const z = (drawnAs + (amps * h) / 2) / (3600 * model.chargeAh);
        const factor = at(model.resistanceFactor, z);
        const ohm = model.seriesOhm * factor * warm(model.seriesSlopeK, core);
        const source = at(model.sourceVolts, z) + beyond(z);
        const behind = source - relaxed.reduce((sum, volts) => sum + volts, 0);
        if (step.currentA != null) amps = step.currentA;
        else if (step.resistanceOhm != null) amps = behind / (step.resistanceOhm / series + ohm);
        else amps = (behind - Math.sqrt(behind ** 2 - (4 * ohm * step.powerW) / series)) / (2 * ohm);
        const volts = behind - ohm * amps;
        if (!(volts >= endVolts)) return points;
        const chargeMah = (drawnAs + (amps * h) / 2) / 3.6;
        points.push({ timeS: time + h / 2, voltageV: series * volts, currentA: amps, temperatureC: skin, chargeMah });
        model.relaxations.forEach(({ seconds, ohm: r }, j) => {
          const steady = r * factor * warm(model.relaxationSlopeK, core) * amps;
          relaxed[j] = steady + (relaxed[j] - steady) * Math.exp(-h / seconds);
        });
        const outward = heat.coreToSkinWattPerKelvin * (core - skin);
        core += (h * (amps * (source - volts) - outward)) / heat.coreJoulePerKelvin;
        skin += (h * (outward - heat.skinToAirWattPerKelvin * (skin - use.ambientC))) / heat.skinJoulePerKelvin;
        drawnAs += amps * h;
      }
    }
  }
  return points;
}
