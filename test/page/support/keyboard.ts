import type { Tab } from "./page-test.js";

const MAX_PRESSED = 120;

/** Presses Tab, or Tab backwards, until the focus stands on what a selector names. */
export async function tabTo({ page }: Tab, selector: string, isBackwards = false): Promise<void> {
  if (isBackwards) await page.keyboard.down("Shift");
  try {
    for (let pressed = 0; pressed < MAX_PRESSED; pressed++) {
      await page.keyboard.press("Tab");
      if (await page.evaluate(`document.activeElement.matches(${JSON.stringify(selector)})`)) return;
    }
  } finally {
    if (isBackwards) await page.keyboard.up("Shift");
  }
  throw new Error(`no Tab leads to ${selector}`);
}
