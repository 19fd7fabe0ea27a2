import type { Notice } from "../../generated/prisma/client.js";
import { NOTICES, type NoticeFacts, type NoticeKind, type NoticeSubject, SUBJECTS } from "./catalogue.js";
import type { NoticeView } from "./notices.views.js";

/**
 * A notice as every way of telling shows it.
 *
 * @param reason the words of whoever did what it tells of, as they stand now
 */
export function noticeView(notice: Notice, reason: string | null): NoticeView {
  const kind = notice.kind as NoticeKind;
  const subject = notice.subjectKind as NoticeSubject;
  return {
    id: notice.id,
    kind,
    title: NOTICES[kind].title,
    text: NOTICES[kind].text(notice.facts as NoticeFacts),
    reason,
    subject: { kind: subject, id: notice.subjectId, href: SUBJECTS[subject](notice.subjectId) },
    createdAt: notice.createdAt.toISOString(),
    readAt: notice.readAt?.toISOString() ?? null,
  };
}
