import { element, show } from "../../elements.js";
import { FieldForm } from "../../form/field-form.js";
import type { View } from "../../service/view.js";
import { button } from "../button.js";
import type { DeskWork } from "../desk-work.js";
import { timeOf } from "../texts.js";
import type { ListedAccount } from "./listed-account.js";

const COUNTS: Readonly<Record<View<"TesterRecordView">["status"], string>> = {
  new: "Its results are shown and make no standing established yet.",
  established: "Its results count, since they agree with those of reference testers.",
  settled: "It is a reference tester by its own results.",
  vouched: "It is a reference tester, since a moderator vouches for it.",
};

/** What a tester's results count for, asked once it is opened, with vouching for it and taking that back. */
export function vouching({ handle }: ListedAccount, desk: DeskWork): HTMLElement {
  const body = element("div", {}, "Asking\u2026");
  const block = element("details", {}, element("summary", {}, "What its results count for"), body);
  const address = `/v1/testers/${encodeURIComponent(handle)}`;
  const draw = async () => {
    const record = await desk.session.get<View<"TesterRecordView">>(address);
    show(
      body,
      element("p", {}, COUNTS[record.status]),
      record.vouchedAt ? element("p", { class: "small" }, "Vouched for since ", timeOf(record.vouchedAt), ".") : null,
      record.vouchedAt ? takeBack() : vouch().element,
    );
  };
  const vouch = () =>
    new FieldForm(
      {
        fields: [{ pointer: "/note", label: "How it is known, for the record", kind: "long", maxLength: 1000 }],
        button: "Vouch for this tester",
      },
      async (sent) => {
        await desk.session.send("POST", `${address}/vouch`, sent);
        await draw();
        desk.say("You vouch for ", element("bdi", {}, handle), ". The standings are computed anew.");
      },
      (work) => desk.during(work),
    );
  const takeBack = () =>
    button(
      "Vouch for it no more",
      () =>
        desk.during(async () => {
          await desk.session.send("DELETE", `${address}/vouch`);
          await draw();
          desk.say("Nobody vouches for ", element("bdi", {}, handle), " any more. The standings are computed anew.");
        }),
      { class: "grave" },
    );
  block.addEventListener("toggle", () => block.open && void desk.during(draw), { once: true });
  return block;
}
