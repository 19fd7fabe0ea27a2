/** The log that the benches read: 600,000 rows of time, voltage, current and temperature, about 17 MB, from a fixed seed. */
export const ROWS = 600_000;

/** Shapes beside `plain`: numbers with a decimal comma, fields in quotes, a clock h:m:s, and instants as of ISO 8601. */
export const SHAPES = ["semicolon", "quoted", "clock", "instant"] as const;
export type Shape = "plain" | (typeof SHAPES)[number];

const FIRST_INSTANT = Date.UTC(2026, 4, 2, 9, 12);

function line(shape: Shape, cells: readonly string[], milliseconds: number): string {
  if (shape === "semicolon") return cells.join(";").replaceAll(".", ",");
  if (shape === "quoted") return cells.map((cell) => `"${cell}"`).join(",");
  if (shape === "plain") return cells.join(",");
  const instant = new Date(FIRST_INSTANT + milliseconds).toISOString();
  return [shape === "clock" ? instant.slice(11, -1) : instant, ...cells.slice(1)].join(",");
}

export function makeLog(shape: Shape): Buffer {
  const random = randomFrom(20_260_502);
  const time = shape === "clock" || shape === "instant" ? "Time" : "Time [s]";
  const header = [time, "Voltage [V]", "Current [A]", "Temperature [degC]"];
  const lines = [header.join(shape === "semicolon" ? ";" : ",")];
  for (let i = 0; i < ROWS; i++) {
    const seconds = i / 1000;
    const loaded = seconds >= 5 && seconds < 595;
    const volts = loaded ? 15.9 - 2.8 * (seconds / 600) ** 1.5 : 16.8;
    const amperes = loaded ? 96 : 0;
    const celsius = 22 + seconds * 0.05;
    const noise = random() - 0.5;
    const cells = [
      seconds.toFixed(3),
      (volts + 0.01 * noise).toFixed(4),
      (amperes + 0.4 * noise).toFixed(3),
      celsius.toFixed(2),
    ];
    lines.push(line(shape, cells, i));
  }
  return Buffer.from(`${lines.join("\n")}\n`);
}

/** A small generator of uniform numbers in [0, 1), the linear congruence of ISO C's example with 32 bits. */
function randomFrom(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_103_515_245) + 12_345) >>> 0;
    return (state >>> 8) / 2 ** 24;
  };
}
