import { ruleCases } from "../../../../test/support/rule-cases.js";

/** The energy of 100 A at 14.65 V - 0.0145 V/s t, integrated by hand. */
const energyTimes = (factor: number) =>
  Float64Array.from({ length: 1021 }, (_, i) => {
    const t = Math.max(0, i / 10 - 2);
    return (factor * t * 100 * (14.65 - 0.00725 * t)) / 3600;
  });

ruleCases("energy-agrees", {
  passing: { "a counter that counts voltage times current": { samples: { loggedEnergy: energyTimes(1) } } },
  failing: { "a counter in mWh read as Wh": { samples: { loggedEnergy: energyTimes(1000) } } },
  boundary: {
    "6 % more": [
      { samples: { loggedEnergy: energyTimes(1.0599) } },
      { samples: { loggedEnergy: energyTimes(1.0601) } },
    ],
    "6 % less": [
      { samples: { loggedEnergy: energyTimes(0.9401) } },
      { samples: { loggedEnergy: energyTimes(0.9399) } },
    ],
  },
  notAssessable: { "a log without an energy": { samples: { loggedEnergy: null } } },
});
