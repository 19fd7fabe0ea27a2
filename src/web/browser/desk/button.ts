import { element } from "../elements.js";

/** A button that does something, and cannot be pressed again meanwhile. */
export function button(text: string, work: () => Promise<void> | void, attributes = {}): HTMLButtonElement {
  const made = element("button", { type: "button", ...attributes }, text);
  made.addEventListener("click", async () => {
    made.disabled = true;
    try {
      await work();
    } finally {
      made.disabled = false;
    }
  });
  return made;
}
