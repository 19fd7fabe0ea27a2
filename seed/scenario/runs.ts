import type { BenchKey, TesterHandle } from "./benches.js";
import type { PackKey } from "./packs.js";

/** What a moderator of the demo does with a run; `wait` leaves it in the queue. */
type PlannedReview = "accept" | "reject" | "request-info" | "wait";

export type ScenarioProtocol = "full-load" | "current-ladder" | "two-pulse" | "rated-capacity";

/** Departures from an ordinary run that make it nonconforming, one kind for each. */
interface Fault {
  readonly rateHz?: number;
  /** Samples left out, s from the start of the load. */
  readonly gap?: { readonly fromSeconds: number; readonly toSeconds: number };
  /** Share of the charge missing at the start. */
  readonly missingShare?: number;
  readonly startC?: number;
  readonly restMinutes?: number;
  /** V per cell at which the operator ended the run. */
  readonly stopVoltsPerCell?: number;
  readonly riseSeconds?: number;
  /** The load is eased to a share of what it asks for, s from the start of the load. */
  readonly eased?: { readonly fromSeconds: number; readonly toSeconds: number; readonly share: number };
  /** Factor on the specimen's resistance, as of a worn pack. */
  readonly wear?: number;
}

export interface ScenarioRun {
  readonly key: string;
  readonly protocol: ScenarioProtocol;
  readonly tester: TesterHandle;
  readonly bench: BenchKey;
  readonly pack: PackKey;
  /** Load in multiples of It, about: see `levelOf`. */
  readonly loadIt: number;
  readonly ambientC: number;
  readonly cycles: number;
  readonly conforming: boolean;
  readonly review: PlannedReview;
  readonly fault: Fault;
  /** Key of another tester's run whose log was altered and passed off as this one's. */
  readonly copyOf: string | null;
}

type Conditions = readonly [loadIt: number, ambientC: number, cycles: number];

const good = (
  tester: TesterHandle,
  pack: PackKey,
  [loadIt, ambientC, cycles]: Conditions,
): Omit<ScenarioRun, "key"> => ({
  protocol: "full-load",
  tester,
  bench: tester,
  pack,
  loadIt,
  ambientC,
  cycles,
  conforming: true,
  review: "accept",
  fault: {},
  copyOf: null,
});

/** A run under another protocol, on a bench that holds a current. */
const other = (
  protocol: ScenarioProtocol,
  [tester, bench]: readonly [TesterHandle, BenchKey],
  pack: PackKey,
  conditions: Conditions,
): Omit<ScenarioRun, "key"> => ({ ...good(tester, pack, conditions), protocol, bench });

const faulty = (
  tester: TesterHandle,
  pack: PackKey,
  conditions: Conditions,
  fault: Fault,
  review: PlannedReview,
): Omit<ScenarioRun, "key"> => ({ ...good(tester, pack, conditions), conforming: false, review, fault });

/** Currents of both ladders, in multiples of It: the pack reaches its temperature limit at the last. */
const LADDER_LOADS_IT = [6, 12, 18, 24, 30] as const;

const ALL: readonly Omit<ScenarioRun, "key">[] = [
  good("keelbench", "regatta", [19.5, 21.0, 12]),
  good("keelbench", "regatta", [19.5, 22.5, 14]),
  good("gravelnotes", "regatta", [17.2, 19.5, 8]),
  good("tidewatch", "regatta", [21.8, 18.0, 22]),
  good("hairpin", "regatta", [20.0, 23.0, 5]),
  good("keelbench", "ridge", [19.5, 21.5, 10]),
  good("gravelnotes", "ridge", [17.6, 20.0, 15]),
  good("tidewatch", "ridge", [21.2, 18.5, 9]),
  good("slipstream", "ridge", [18.5, 24.0, 18]),
  good("keelbench", "breakwater", [19.0, 20.5, 31]),
  good("tidewatch", "breakwater", [20.6, 17.5, 26]),
  good("slipstream", "breakwater", [18.0, 23.5, 20]),
  good("gravelnotes", "slipway", [16.8, 21.0, 11]),
  good("hairpin", "slipway", [18.5, 22.0, 6]),
  good("slipstream", "slipway", [17.0, 20.5, 16]),
  good("gravelnotes", "gravel", [17.9, 22.0, 40]),
  good("hairpin", "gravel", [20.0, 22.5, 24]),
  good("tidewatch", "gravel", [21.4, 19.0, 37]),
  good("gravelnotes", "stage", [17.4, 20.5, 13]),
  good("keelbench", "stage", [19.2, 21.0, 17]),
  good("slipstream", "stage", [18.2, 22.0, 9]),
  good("hairpin", "sprint", [20.0, 23.5, 52]),
  good("gravelnotes", "rally", [18.0, 20.0, 28]),
  good("slipstream", "rally", [18.4, 21.5, 33]),
  good("keelbench", "apex", [19.6, 22.0, 7]),
  good("hairpin", "apex", [20.0, 21.0, 4]),
  good("tidewatch", "apex", [21.0, 18.0, 12]),
  good("gravelnotes", "crest", [17.1, 19.0, 10]),
  good("keelbench", "hull", [19.4, 20.5, 19]),
  { ...good("tidewatch", "keel", [20.9, 17.0, 23]), review: "wait" },
  good("hairpin", "anvil", [18.0, 23.0, 60]),
  good("keelbench", "drum", [17.5, 22.0, 45]),
  faulty("gravelnotes", "stage", [17.8, 21.0, 14], { rateHz: 2 }, "reject"),
  faulty("tidewatch", "rally", [20.2, 18.5, 30], { gap: { fromSeconds: 40, toSeconds: 44 } }, "reject"),
  faulty("slipstream", "crest", [18.0, 22.5, 12], { missingShare: 0.1 }, "reject"),
  faulty("hairpin", "ridge", [19.0, 8.0, 21], { startC: 8 }, "reject"),
  faulty("gravelnotes", "apex", [17.3, 20.0, 9], { restMinutes: 3 }, "request-info"),
  faulty("keelbench", "keel", [19.4, 21.0, 25], { stopVoltsPerCell: 3.58 }, "reject"),
  faulty("tidewatch", "hull", [20.6, 18.0, 20], { eased: { fromSeconds: 50, toSeconds: 57, share: 0.35 } }, "reject"),
  faulty("gravelnotes", "breakwater", [18.2, 19.0, 29], { riseSeconds: 1.8 }, "wait"),
  { ...faulty("slipstream", "gravel", [19.0, 21.0, 35], {}, "reject"), bench: "clipOn" },
  faulty("hairpin", "sprint", [21.0, 33.0, 180], { startC: 34, wear: 2.2 }, "wait"),
  { ...good("gravelnotes", "slipway", [17.0, 20.0, 13]), copyOf: "run-01", review: "wait" },
  ...LADDER_LOADS_IT.map((loadIt, i) =>
    other("current-ladder", ["hairpin", "hairpin"], "slipway", [loadIt, 22.0, 7 + i]),
  ),
  ...LADDER_LOADS_IT.map((loadIt, i) =>
    other("current-ladder", ["keelbench", "dock"], "slipway", [loadIt, 21.0, 3 + i]),
  ),
  other("two-pulse", ["hairpin", "cradle"], "slipway", [0.2, 21.5, 13]),
  other("two-pulse", ["keelbench", "dock"], "slipway", [0.2, 20.5, 9]),
  other("two-pulse", ["hairpin", "cradle"], "apex", [0.2, 21.0, 6]),
  other("rated-capacity", ["hairpin", "cradle"], "slipway", [0.2, 20.5, 14]),
  other("rated-capacity", ["hairpin", "cradle"], "apex", [0.2, 21.0, 7]),
];

/** The demo's runs in the order in which they were made. */
export const RUNS: readonly ScenarioRun[] = ALL.map((run, index) => ({
  key: `run-${String(index + 1).padStart(2, "0")}`,
  ...run,
}));
