import type { LogChannels } from "../../channels/read-log.js";
import type { Adjustment } from "../../model.js";

/** What an input that nothing is connected to stays below (common practice, no published source), V. */
const MAX_OPEN_INPUT_V = 0.1;

interface ConnectedCells {
  readonly channels: LogChannels;
  readonly adjustments: readonly Adjustment[];
}

/**
 * A logger has more inputs than a pack has cells, and those that are left open read 0 throughout. Of more cell voltages than cells such inputs are
 * left out, the last ones first, until as many are left as the pack has cells: a cell of the pack that reads 0 stays and is judged.
 */
export function connectedCells(channels: LogChannels, series: number): ConnectedCells {
  const { cells } = channels;
  const open = cells.flatMap((cell, at) => (isOpen(cell) ? [at] : []));
  const excess = Math.min(open.length, cells.length - series);
  if (excess <= 0) return { channels, adjustments: [] };
  const left = new Set(open.slice(open.length - excess));
  return {
    channels: { ...channels, cells: cells.filter((_, at) => !left.has(at)) },
    adjustments: [
      {
        kind: "cells-not-connected",
        message: `The log has ${cells.length} cell voltages, and the pack has ${series} cells in series. ${excess === 1 ? "One that reads" : `${excess} that read`} 0 V throughout ${excess === 1 ? "was" : "were"} taken as not connected and left out.`,
        before: cells.length,
        after: cells.length - excess,
        unit: "1",
      },
    ],
  };
}

const isOpen = (cell: Float64Array): boolean => cell.every((volts) => !(Math.abs(volts) >= MAX_OPEN_INPUT_V));
