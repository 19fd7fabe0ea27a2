import type { View } from "../../service/view.js";
import { counted } from "../texts.js";

type Risk = View<"RiskView">;

const SIGNS: Readonly<Record<View<"SignView">["sign"], string>> = {
  "no-recovery": "the voltage does not recover when the load is off",
  "no-sag": "the voltage does not sag as under a real load",
  "heat-missing": "the pack hardly warms for the heat in it",
  "heat-excessive": "the pack warms more than the heat in it can do",
  "resistance-below-class": "its resistance is below what the class has",
  "voltage-above-chemistry": "its voltage is above what the chemistry gives",
  "energy-above-class": "it has more energy for its mass than the class",
  "leads-beyond-copper": "leads of the declared resistance would burn under this load",
  "leads-raise-power": "the declared resistance of its leads raises its power by more than leads usually do",
  "load-still": "the load never moves",
  "best-in-everything": "it is the best of its class in everything",
};

/** Why a run is worth a closer look, in the order of the weights. */
export function riskWords(risk: Risk): string[] {
  return [
    ...(risk.copied ? ["looks like another run"] : []),
    ...(risk.outlier ? ["a figure lies far from what others found"] : []),
    ...(risk.failedAdvice > 0 ? [`${counted(risk.failedAdvice, "advised rule")} not met`] : []),
    ...(risk.withdrawnTries > 0
      ? [`${counted(risk.withdrawnTries, "earlier run")} of this pack withdrawn or moved away`]
      : []),
    ...(risk.newTester ? ["its tester has no accepted run yet"] : []),
    ...(risk.affectsRanking ? ["it would change the top of a ranking"] : []),
    ...(risk.unusual >= 1 ? ["unusual for its chemistry"] : []),
    ...(risk.unconfirmedPack ? ["nobody has confirmed its pack"] : []),
  ];
}

export const signWords = ({ sign, weak }: View<"SignView">): string => `${SIGNS[sign]}${weak ? " (a weak sign)" : ""}`;
