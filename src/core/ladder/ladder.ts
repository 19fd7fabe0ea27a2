import type { Figure, Finding, PackFacts } from "../model.js";
import type { LadderLimits } from "../protocol/document.js";
import { rectangular } from "../uncertainty/noise.js";
import { LADDER_FIGURES } from "./figures.js";
import { ladderFindings } from "./findings.js";
import type { LadderStep } from "./step.js";
import { type VerifiedCurrent, verifiedCurrent } from "./verified-current.js";

/** What the conforming constant-current runs of one specimen say together. */
export interface Ladder {
  readonly steps: readonly LadderStep[];
  /** null without steps, or when a required finding failed: then the steps are no ladder. */
  readonly verified: VerifiedCurrent | null;
  /** `verified-current` (A), `verified-c` (C) and `claim-share` (ratio, when the label claims a C-rate). */
  readonly figures: readonly LadderFigure[];
  readonly findings: readonly Finding[];
}

export interface LadderFigure extends Pick<Figure, "key" | "value" | "unit" | "uncertainty" | "bound"> {
  /** The part of the uncertainty that is the distance to the upper bracket: alike in every ladder with the same steps. */
  readonly bracketUncertainty: number;
}

/** What a ladder is set against. */
type RatedPack = Pick<PackFacts, "ratedCapacityMah" | "labelContinuousC">;

/** Steps in rising order of current, with what follows from them and what speaks against taking them together. */
export function ladderOf(steps: readonly LadderStep[], pack: RatedPack, limits: LadderLimits): Ladder {
  const rising = [...steps].sort((a, b) => a.current.value - b.current.value || (a.runId < b.runId ? -1 : 1));
  const findings = ladderFindings(rising, limits);
  const refused = findings.some(({ severity, outcome }) => severity === "required" && outcome === "fail");
  const verified = rising.length === 0 || refused ? null : verifiedCurrent(rising);
  return { steps: rising, verified, figures: verified ? figuresOf(verified, pack) : [], findings };
}

function figuresOf(verified: VerifiedCurrent, pack: RatedPack): LadderFigure[] {
  const { value, uncertainty, bound, upperBracketA } = verified;
  const bracketUncertainty = bound === "none" && upperBracketA !== null ? rectangular(upperBracketA - value) : 0;
  const figure = (key: keyof typeof LADDER_FIGURES, per: number): LadderFigure => ({
    key,
    value: value / per,
    unit: LADDER_FIGURES[key],
    uncertainty: uncertainty / per,
    bracketUncertainty: bracketUncertainty / per,
    bound,
  });
  const oneIt = pack.ratedCapacityMah / 1000;
  const claim = pack.labelContinuousC;
  return [
    figure("verified-current", 1),
    figure("verified-c", oneIt),
    ...(claim ? [figure("claim-share", oneIt * claim)] : []),
  ];
}
