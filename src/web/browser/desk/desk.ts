import { byId, element } from "../elements.js";
import { ask, Refusal } from "../service/service.js";
import type { Session } from "../service/session.js";
import { SignIn } from "../service/sign-in.js";
import type { Listed, View } from "../service/view.js";
import type { DeskWork } from "./desk-work.js";
import { FIRST, GROUPS, PLACES, placeFor } from "./places.js";

const MAX_FIGURES = 100;

/** Signing in and going from view to view. The token is in this page's memory alone; the address names the view behind its hash. */
export class Desk {
  private readonly signIn = new SignIn();
  private readonly view = byId("desk-view");
  private session: Session | null = null;
  private account: View<"AccountView"> | null = null;
  private figures: ReadonlyMap<string, string> = new Map();
  private links: ReadonlyMap<string, HTMLAnchorElement> = new Map();
  /** Aborted once another view is drawn, or nobody is signed in any more. */
  private drawing = new AbortController();

  constructor() {
    this.on("sign-in", "submit", async () => this.enter(await this.signIn.byPassword()));
    this.on("sign-in-code", "submit", async () => this.enter(await this.signIn.byCode()));
    this.on("sign-out", "click", () => this.signOut());
    addEventListener("hashchange", () => void this.during(() => this.draw()));
  }

  private async enter(session: Session): Promise<void> {
    const [account, figures] = await Promise.all([
      session.get<View<"AccountView">>("/v1/accounts/me"),
      ask<Listed<View<"FigureDefinitionView">>>(`/v1/figures?first=${MAX_FIGURES}`),
    ]);
    this.session = session;
    this.account = account;
    this.figures = new Map(figures.items.map(({ key, title }) => [key, title]));
    this.signIn.show(false);
    byId("signed-out").hidden = true;
    byId("who").replaceChildren("Signed in as ", element("bdi", {}, account.handle), ".");
    this.offerPlaces();
    this.say("");
    await this.draw();
  }

  /** The view that the address names, for who is signed in. */
  private async draw(): Promise<void> {
    const { session, account } = this;
    if (!session || !account) return;
    const [name = "", id = ""] = location.hash.slice(1).split("/");
    const key = placeFor(name, account.role) ? name : FIRST;
    this.drawing.abort();
    const drawing = new AbortController();
    this.drawing = drawing;
    this.view.setAttribute("aria-busy", "true");
    this.markPlace(PLACES[key]?.under ?? key);
    const [content = []] = await Promise.all([
      PLACES[key]?.show(this.work(session, account, drawing.signal), decodeURIComponent(id)),
      this.countUnread(session),
    ]);
    if (drawing.signal.aborted) return;
    this.view.replaceChildren(...content);
    this.view.removeAttribute("aria-busy");
    document.title = `${PLACES[key]?.title} \u00b7 Packledger`;
    const heading = this.view.querySelector<HTMLElement>("h2");
    heading?.setAttribute("tabindex", "-1");
    heading?.focus();
  }

  private work(session: Session, account: View<"AccountView">, signal: AbortSignal): DeskWork {
    return {
      session,
      account,
      signal,
      say: (...content) => this.say(...content),
      during: (work) => this.during(work),
      redraw: () => this.draw(),
      go: (hash) => {
        if (location.hash === hash) void this.during(() => this.draw());
        else location.hash = hash;
      },
      figureTitle: (key) => this.figures.get(key) ?? key,
    };
  }

  /** Links to the views that are offered to who has signed in, by group where there are several. They stay, so that the focus may stand on one. */
  private offerPlaces(): void {
    const links = new Map<string, HTMLAnchorElement>();
    const groups = GROUPS.map(([group, title]) => {
      const offered = Object.entries(PLACES).filter(
        ([name, place]) => place.group === group && !place.under && placeFor(name, this.account?.role),
      );
      const items = offered.map(([name, place]) => {
        const link = element("a", { href: `#${name}` }, place.title);
        links.set(name, link);
        return element("li", {}, link);
      });
      return { title, items };
    }).filter(({ items }) => items.length > 0);
    this.links = links;
    const shown =
      groups.length === 1
        ? groups.flatMap(({ items }) => items)
        : groups.map(({ title, items }) => element("li", { class: "group" }, title, element("ul", {}, ...items)));
    byId("desk-places").replaceChildren(...shown);
  }

  private markPlace(here: string): void {
    for (const [name, link] of this.links) {
      if (name === here) link.setAttribute("aria-current", "page");
      else link.removeAttribute("aria-current");
    }
  }

  private async countUnread(session: Session): Promise<void> {
    const { unreadCount } = await session.get<View<"NoticeList">>("/v1/notices?first=1");
    const link = this.links.get("notices");
    if (link) link.textContent = unreadCount > 0 ? `Notices (${unreadCount} unread)` : "Notices";
  }

  private async signOut(): Promise<void> {
    const { session } = this;
    this.forget("Signed out.");
    await session?.close();
  }

  /** Nothing that only its owner may see stays on the page. */
  private forget(why: string): void {
    this.drawing.abort();
    this.session = null;
    this.account = null;
    this.view.replaceChildren();
    this.view.removeAttribute("aria-busy");
    byId("desk-places").replaceChildren();
    byId("who").replaceChildren();
    byId("signed-out").hidden = false;
    this.signIn.show(true);
    this.say(why);
    byId<HTMLFormElement>("sign-in").querySelector("input")?.focus();
  }

  private on(id: string, event: "submit" | "click", work: () => Promise<void>): void {
    byId(id).addEventListener(event, (happened) => {
      happened.preventDefault();
      void this.during(work);
    });
  }

  private async during(work: () => Promise<void>): Promise<void> {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Refusal)) throw error;
      this.view.removeAttribute("aria-busy");
      if (error.status === 401 && this.session) this.forget("Your session has ended. Sign in again.");
      else this.say(error.message);
    }
  }

  private say(...content: readonly (Node | string)[]): void {
    byId("desk-status").replaceChildren(...content);
  }
}
