import { element } from "../../elements.js";
import { optionsOf } from "../../options.js";
import type { Listed } from "../../service/view.js";
import type { DeskView, DeskWork } from "../desk-work.js";
import { moreButton } from "../more-button.js";
import { counted, timeOf } from "../texts.js";
import { changeAccount } from "./account-changes.js";
import type { ListedAccount } from "./listed-account.js";

const PAGE = 25;
const ROLES = { "": "any", tester: "testers", moderator: "moderators", administrator: "administrators" };
const STATES = { "": "any", false: "not suspended", true: "suspended" };

interface Wanted {
  readonly search: string;
  readonly role: string;
  readonly suspended: string;
}

/** Accounts, to be found by handle, role and suspension, each with what can be changed. @param id what was looked for */
export const showAccounts: DeskView = async (desk, id) => {
  const wanted = wantedOf(id);
  const query = new URLSearchParams(Object.entries(wanted).filter(([, value]) => value !== ""));
  const address = `/v1/accounts?first=${PAGE}${query.size > 0 ? `&${query}` : ""}`;
  const list = await desk.session.get<Listed<ListedAccount>>(address);
  const cards = element("ul", { class: "runs" }, ...list.items.map((one) => accountCard(one, desk)));
  return [
    element("h2", {}, "Accounts"),
    searchForm(wanted, desk),
    list.items.length > 0
      ? cards
      : element("p", { class: "empty" }, "No account is like that. Try a part of its handle."),
    ...moreButton(list, address, (items) => cards.append(...items.map((one) => accountCard(one, desk))), desk),
  ];
};

function wantedOf(id: string): Wanted {
  const asked = new URLSearchParams(id);
  return { search: asked.get("search") ?? "", role: asked.get("role") ?? "", suspended: asked.get("suspended") ?? "" };
}

function searchForm({ search, role, suspended }: Wanted, desk: DeskWork): HTMLElement {
  const form = element(
    "form",
    { class: "choices", role: "search" },
    element(
      "label",
      {},
      "Part of a handle",
      element("input", { name: "search", type: "search", value: search, maxlength: 32 }),
    ),
    element("label", {}, "Role", element("select", { name: "role" }, ...optionsOf(ROLES, role))),
    element("label", {}, "Suspension", element("select", { name: "suspended" }, ...optionsOf(STATES, suspended))),
    element("button", {}, "Find"),
  );
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const entered = new URLSearchParams(
      [...new FormData(form)].flatMap(([name, value]) => (value === "" ? [] : [[name, String(value).trim()]])),
    );
    desk.go(`#accounts/${encodeURIComponent(String(entered))}`);
  });
  return form;
}

function accountCard(account: ListedAccount, desk: DeskWork): HTMLElement {
  const { handle, role, createdAt, runs, suspendedAt } = account;
  return element(
    "li",
    { class: "run" },
    element(
      "h3",
      {},
      element("bdi", {}, handle),
      " ",
      element("span", { class: `tag ${role === "tester" ? "faint" : "good"}` }, role),
      suspendedAt ? " " : null,
      suspendedAt ? element("span", { class: "tag bad" }, "suspended") : null,
    ),
    element(
      "p",
      { class: "subtitle" },
      `${counted(runs, "run")} \u00b7 since `,
      timeOf(createdAt),
      ...(suspendedAt ? [" \u00b7 suspended ", timeOf(suspendedAt)] : []),
    ),
    ...changeAccount(account, desk),
  );
}
