import { expect, test } from "@jest/globals";
import { ruleCases } from "../../../../test/support/rule-cases.js";
import { BARE_RUN, findingOf, runUnderTest } from "../../../../test/support/run-under-test.js";

const { time } = runUnderTest().run.trace;
/** Probes at these temperatures at rest, all of them warming under load. */
const probes = (...celsius: number[]) => ({
  probes: celsius.map((atRest) => time.map((t) => atRest + Math.max(0, t) / 5)),
});

ruleCases("probes-plausible", {
  passing: {
    "one probe as warm as the room": { samples: probes(21) },
    "two probes 2 K apart": { samples: probes(21, 23) },
    "a pack that was warmed": { samples: probes(40) },
  },
  failing: {
    "two probes 30 K apart": { samples: probes(21, 51) },
    "a second probe that reads -40 degC": { samples: probes(21, -40) },
    "a probe on a constant 150 degC": { samples: { probes: [time.map(() => 150)] } },
    "one where the surroundings were not declared": { samples: probes(150), conditions: { ambientC: null } },
  },
  boundary: { "25 K": [{ samples: probes(21, 46) }, { samples: probes(21, 46.1) }] },
  notAssessable: {
    "a log without a temperature": BARE_RUN,
    "a probe that never reads": { samples: probes(Number.NaN) },
  },
});

test("is what tells of a broken probe where its temperature decides: required in the ladder, and said to be open", () => {
  const { severity, message } = findingOf("probes-plausible", { samples: probes(21, 51) });
  expect(severity).toBe("advised");
  expect(message).toContain("open, shorted or broken");
});
