import { byId, element } from "../elements.js";
import { ask, Refusal } from "../service/service.js";
import type { Session } from "../service/session.js";
import { SignIn } from "../service/sign-in.js";
import type { Listed, View } from "../service/view.js";
import { showCalibration } from "./calibration.js";
import { showNotices } from "./notices.js";
import type { DeskView, DeskWork } from "./place.js";
import { showDecisions } from "./review/decisions.js";
import { showEvidence } from "./review/evidence.js";
import { showProposedPacks } from "./review/packs.js";
import { showQueue } from "./review/queue.js";
import { showOwnRun } from "./runs/own-run.js";
import { showOwnRuns } from "./runs/own-runs.js";

interface Place {
  readonly title: string;
  readonly show: DeskView;
  /** Only moderators and administrators are offered it. */
  readonly isReview?: true;
  /** Reached from another view, under which it stands. */
  readonly under?: string;
}

const PLACES: Readonly<Record<string, Place>> = {
  runs: { title: "Your runs", show: showOwnRuns },
  run: { title: "Your run", show: showOwnRun, under: "runs" },
  notices: { title: "Notices", show: showNotices },
  calibration: { title: "Calibration", show: showCalibration },
  queue: { title: "To decide", show: showQueue, isReview: true },
  review: { title: "Evidence", show: showEvidence, isReview: true, under: "queue" },
  packs: { title: "Packs to confirm", show: showProposedPacks, isReview: true },
  decisions: { title: "Your decisions", show: showDecisions, isReview: true },
};
const FIRST = "runs";
const MAX_FIGURES = 100;

/** Signing in and going from view to view. The token is in this page's memory alone; the address names the view behind its hash. */
export class Desk {
  private readonly signIn = new SignIn();
  private readonly view = byId("desk-view");
  private session: Session | null = null;
  private account: View<"AccountView"> | null = null;
  private figures: ReadonlyMap<string, string> = new Map();
  private links: ReadonlyMap<string, HTMLAnchorElement> = new Map();
  private drawing = 0;

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
    const key = this.isOffered(name) ? name : FIRST;
    const drawing = ++this.drawing;
    this.view.setAttribute("aria-busy", "true");
    this.markPlace(PLACES[key]?.under ?? key);
    const [content = []] = await Promise.all([
      PLACES[key]?.show(this.work(session, account), decodeURIComponent(id)),
      this.countUnread(session),
    ]);
    if (drawing !== this.drawing || this.session !== session) return;
    this.view.replaceChildren(...content);
    this.view.removeAttribute("aria-busy");
    document.title = `${PLACES[key]?.title} \u00b7 Packledger`;
    const heading = this.view.querySelector<HTMLElement>("h2");
    heading?.setAttribute("tabindex", "-1");
    heading?.focus();
  }

  private work(session: Session, account: View<"AccountView">): DeskWork {
    return {
      session,
      account,
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

  /** Links to the views that are offered to who has signed in. They stay, so that the focus may stand on one. */
  private offerPlaces(): void {
    const offered = Object.entries(PLACES).filter(([name, { under }]) => !under && this.isOffered(name));
    this.links = new Map(offered.map(([name, { title }]) => [name, element("a", { href: `#${name}` }, title)]));
    byId("desk-places").replaceChildren(...[...this.links.values()].map((link) => element("li", {}, link)));
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

  private isOffered(name: string): boolean {
    const place = Object.hasOwn(PLACES, name) ? PLACES[name] : undefined;
    return place !== undefined && (!place.isReview || this.account?.role !== "tester");
  }

  private async signOut(): Promise<void> {
    const { session } = this;
    this.forget("Signed out.");
    await session?.close();
  }

  /** Nothing that only its owner may see stays on the page. */
  private forget(why: string): void {
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
