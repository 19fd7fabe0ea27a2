import type { CalibrationListView, CalibrationView } from "../../features/testers/testers.views.js";
import { knownValue } from "../known-value.js";
import { type ServerOption, signedIn } from "../session/client-of.js";
import { textTable } from "../text-table.js";

interface CalibrationOptions extends ServerOption {
  readonly json?: boolean;
}

/** Says how far the own results lie from the others' on the same packs, as the service knows it. */
export async function calibration({ json, ...at }: CalibrationOptions): Promise<void> {
  const client = await signedIn(at);
  const { items } = await client.get<CalibrationListView>("/v1/accounts/me/calibration");
  console.log(json ? JSON.stringify(items) : calibrationReportOf(items));
}

/** For people: a row for each quantity, biases in percent with U. */
export function calibrationReportOf(items: readonly CalibrationView[]): string {
  if (items.length === 0)
    return "Nobody else has measured a pack of yours yet: nothing is known of how your bench reads.";
  const rows = items.map(({ quantity, biasPercent, expandedUncertaintyPercent, packs, others, summary }) => [
    quantity,
    knownValue(biasPercent, expandedUncertaintyPercent),
    String(packs),
    String(others),
    summary,
  ]);
  return `${textTable(["quantity", "bias [%]", "packs", "others", "in words"], rows)}
Above zero you read high; +- U, about 95 %. No value is corrected by this.`;
}
