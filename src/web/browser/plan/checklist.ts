/** Ticks of a checklist stay while a tab does: a phone at the bench loads a page anew whenever it likes. */
export function keepChecklist(): void {
  const boxes = [...document.querySelectorAll<HTMLInputElement>(".checklist input")];
  const key = `packledger checklist ${location.pathname}${location.search}`;
  const ticked = stored(key);
  for (const [at, box] of boxes.entries()) {
    box.checked = ticked.includes(at);
    box.addEventListener("change", () =>
      store(
        key,
        boxes.flatMap((one, index) => (one.checked ? [index] : [])),
      ),
    );
  }
}

function stored(key: string): readonly unknown[] {
  try {
    const ticked: unknown = JSON.parse(sessionStorage.getItem(key) ?? "[]");
    return Array.isArray(ticked) ? ticked : [];
  } catch {
    return [];
  }
}

function store(key: string, ticked: readonly number[]): void {
  try {
    sessionStorage.setItem(key, JSON.stringify(ticked));
  } catch {
    // What cannot be kept is ticked again.
  }
}
