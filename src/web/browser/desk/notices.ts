import { element } from "../elements.js";
import type { View } from "../service/view.js";
import { button } from "./button.js";
import type { DeskView, DeskWork } from "./desk-work.js";
import { counted, timeOf } from "./texts.js";

type Notice = View<"NoticeView">;

const PAGE = 30;

/** What was told, newest first, with what is unread. */
export const showNotices: DeskView = async (desk) => {
  const { session } = desk;
  const first = await session.get<View<"NoticeList">>(`/v1/notices?first=${PAGE}`);
  const list = element("ul", { class: "notices" }, ...first.items.map((one) => noticeOf(one, desk)));
  const mark = button(
    "Mark all as read",
    () =>
      desk.during(async () => {
        await session.send("POST", "/v1/notices/read", {});
        await desk.redraw();
        desk.say("All notices are marked as read.");
      }),
    { class: "plain" },
  );
  return [
    element("h2", {}, "Notices"),
    element(
      "p",
      { class: "subtitle" },
      first.unreadCount === 0 ? "All are read." : `${counted(first.unreadCount, "notice")} unread.`,
    ),
    ...(first.items.length === 0
      ? [
          element(
            "p",
            { class: "empty" },
            "Nothing has happened to what is yours yet. What moderators decide and ask is told here.",
          ),
        ]
      : [...(first.unreadCount > 0 ? [element("p", { class: "actions" }, mark)] : []), list]),
    ...moreOf(first, list, desk),
  ];
};

function moreOf(shown: View<"NoticeList">, list: HTMLElement, desk: DeskWork): HTMLElement[] {
  let after = shown.pageInfo.endCursor;
  if (!shown.pageInfo.hasNextPage) return [];
  const more = button("Older notices", () =>
    desk.during(async () => {
      const next = await desk.session.get<View<"NoticeList">>(
        `/v1/notices?first=${PAGE}&after=${encodeURIComponent(after ?? "")}`,
      );
      list.append(...next.items.map((one) => noticeOf(one, desk)));
      after = next.pageInfo.endCursor;
      if (!next.pageInfo.hasNextPage) more.remove();
    }),
  );
  return [element("p", { class: "actions" }, more)];
}

function noticeOf(notice: Notice, desk: DeskWork): HTMLElement {
  const { id, title, text, reason, createdAt, readAt, subject } = notice;
  const isUnread = readAt === null || readAt === undefined;
  const set = (read: boolean) =>
    desk.during(async () => {
      await desk.session.send("PATCH", `/v1/notices/${id}`, { read });
      await desk.redraw();
      desk.say(read ? "Marked as read." : "Marked as unread.");
    });
  const about = `: ${title}, ${new Date(createdAt).toLocaleString()}`;
  return element(
    "li",
    { class: isUnread ? "unread" : null },
    element("h3", {}, isUnread && element("span", { class: "tag" }, "unread"), isUnread && " ", title),
    element("p", {}, text),
    typeof reason === "string" && element("p", {}, `Reason given: ${reason}`),
    element("p", { class: "small" }, timeOf(createdAt)),
    element(
      "p",
      { class: "actions" },
      subject.kind === "run" && element("a", { class: "button plain", href: placeOf(notice, desk) }, "Show the run"),
      subject.kind === "pack" && element("a", { class: "button plain", href: `/packs/${subject.id}` }, "Show the pack"),
      button(isUnread ? "Mark as read" : "Mark as unread", () => set(isUnread), {
        class: "plain",
        "aria-label": `${isUnread ? "Mark as read" : "Mark as unread"}${about}`,
      }),
    ),
  );
}

/** An appeal is somebody else's run, to be decided on. */
const placeOf = ({ kind, subject }: Notice, { account }: DeskWork): string =>
  `#${kind === "appeal-waits" && account.role !== "tester" ? "review" : "run"}/${subject.id}`;
