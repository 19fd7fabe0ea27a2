import { openTab, type PageTest, type Tab } from "./page-test.js";

/** Of every account of a test app. */
const PASSWORD = "correct horse battery";

/** A tab with the desk of somebody, who signs in with the keyboard. */
export async function openDesk(test: PageTest, handle: string, hash = ""): Promise<Tab> {
  const tab = await openTab(test);
  await tab.open(`/desk${hash}`);
  await signInAt(tab, handle);
  return tab;
}

export async function signInAt({ page }: Tab, handle: string): Promise<void> {
  await page.focus("#sign-in [name=handle]");
  await page.keyboard.type(handle);
  await page.keyboard.press("Tab");
  await page.keyboard.type(PASSWORD);
  await page.keyboard.press("Enter");
  await page.waitForSelector("#desk-view:not([aria-busy]) h2");
}

/** Waits until a view with this heading is drawn. */
export const viewed = ({ page }: Tab, heading: RegExp) =>
  page
    .waitForFunction(
      `!document.querySelector("#desk-view[aria-busy]") && ${heading}.test(document.querySelector("#desk-view h2")?.textContent)`,
    )
    .catch(async (error) => {
      throw new Error(`the desk shows "${await page.evaluate("document.body.innerText")}"`, { cause: error });
    });

/** Goes to a view by its link. */
export async function goTo(tab: Tab, view: string, heading: RegExp): Promise<void> {
  await tab.page.click(`#desk-places a[href="#${view}"]`);
  await viewed(tab, heading);
}
