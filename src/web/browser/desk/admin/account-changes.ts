import { element } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { Field } from "../../form/fields.js";
import type { DeskWork } from "../desk-work.js";
import type { ListedAccount } from "./listed-account.js";
import { vouching } from "./vouching.js";

const ROLES = { tester: "tester", moderator: "moderator", administrator: "administrator" };
const MAY =
  "Testers upload runs of their own. Moderators also decide on others' runs and keep the register of packs. Administrators do all that, and set accounts, policies and protocols.";
const WHY: Field = { pointer: "/reason", label: "Why, for the record", kind: "long", maxLength: 1000 };

/** What an administrator can do about an account, each step with its reason and what follows from it. */
export function changeAccount(account: ListedAccount, desk: DeskWork): HTMLElement[] {
  const isOwn = account.id === desk.account.id;
  return [
    ...(isOwn ? [element("p", { class: "small" }, "This is your own account.")] : []),
    element(
      "div",
      { class: "changes" },
      ...(isOwn
        ? []
        : [roleChange(account, desk), account.suspendedAt ? restoring(account, desk) : suspension(account, desk)]),
      vouching(account, desk),
    ),
  ];
}

const addressOf = ({ id }: ListedAccount, what: string): string => `/v1/accounts/${encodeURIComponent(id)}/${what}`;

function roleChange(account: ListedAccount, desk: DeskWork): HTMLElement {
  const { handle, role } = account;
  const form = new FieldForm(
    {
      fields: [{ pointer: "/role", label: "Role", kind: "choice", options: ROLES, value: role, hint: MAY }, WHY],
      button: "Change the role",
    },
    async (body) => {
      await desk.session.send("PUT", addressOf(account, "role"), body);
      await desk.redraw();
      desk.say(element("bdi", {}, handle), ` has the role ${body.role} now.`);
    },
    (work) => desk.during(work),
  );
  return folded("Role", form.element);
}

function suspension(account: ListedAccount, desk: DeskWork): HTMLElement {
  const form = new FieldForm(
    {
      fields: [WHY],
      before: [
        element(
          "p",
          {},
          "A suspended account may only read. Its runs leave the standings at once and come back when the suspension is lifted; nothing is deleted.",
        ),
      ],
      button: "Suspend the account",
    },
    async (body) => {
      await desk.session.send("POST", handleAddress(account), body);
      await desk.redraw();
      desk.say(element("bdi", {}, account.handle), " is suspended. Its runs count in no standing.");
    },
    (work) => desk.during(work),
  );
  return folded("Suspend", form.element);
}

function restoring(account: ListedAccount, desk: DeskWork): HTMLElement {
  const form = new FieldForm(
    { fields: [{ ...WHY, label: "Why (may be left out)" }], button: "Lift the suspension" },
    async ({ reason }) => {
      const query = reason ? `?reason=${encodeURIComponent(String(reason))}` : "";
      await desk.session.send("DELETE", `${handleAddress(account)}${query}`);
      await desk.redraw();
      desk.say("The suspension of ", element("bdi", {}, account.handle), " is lifted. Its runs count again.");
    },
    (work) => desk.during(work),
  );
  return folded("Lift the suspension", form.element);
}

const handleAddress = ({ handle }: ListedAccount): string => `/v1/accounts/${encodeURIComponent(handle)}/suspension`;

function folded(title: string, ...content: readonly Node[]): HTMLElement {
  return element("details", {}, element("summary", {}, title), ...content);
}
