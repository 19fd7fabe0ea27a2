import { ruleCases } from "../../../../test/support/rule-cases.js";
import { FULL_LOAD_1 } from "../documents/full-load-1.js";
import { RATED_CAPACITY_1 } from "../documents/rated-capacity-1.js";

/** The load of the full load with the rules of the rated capacity. */
const ANOTHER_LOAD = { ...RATED_CAPACITY_1, load: FULL_LOAD_1.load };

ruleCases("load-rate", {
  passing: { "100 A of a pack of 500 Ah": { pack: { ratedCapacityMah: 500000 } } },
  failing: { "100 A of a pack of 5 Ah": {} },
  boundary: {
    "5 % more": [{ pack: { ratedCapacityMah: 500_000 / 1.0499 } }, { pack: { ratedCapacityMah: 500_000 / 1.0501 } }],
    "5 % less": [{ pack: { ratedCapacityMah: 500_000 / 0.9501 } }, { pack: { ratedCapacityMah: 500_000 / 0.9499 } }],
  },
  notAssessable: { "a protocol that asks for no multiple of It": { protocol: ANOTHER_LOAD } },
});
