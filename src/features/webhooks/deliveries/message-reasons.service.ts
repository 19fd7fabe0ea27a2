import { Injectable } from "@nestjs/common";
import { NoticeReasons } from "../../notices/notice-reasons.service.js";

interface NoticeMessage {
  readonly data: { readonly id: string; readonly reason?: string | null };
}

/** Puts reasons into messages when they are sent or shown, so that one that was erased is neither. */
@Injectable()
export class MessageReasons {
  constructor(private readonly noticeReasons: NoticeReasons) {}

  /** Bodies of messages with the reasons that stand now, in their order. */
  async into(messages: readonly { readonly type: string; readonly body: string }[]): Promise<string[]> {
    const parsed = messages.map(({ type, body }) => {
      const message = type.startsWith("notice.") ? (JSON.parse(body) as NoticeMessage) : null;
      return message?.data && "reason" in message.data ? message : null;
    });
    const reasons = await this.noticeReasons.ofIds(parsed.flatMap((one) => one?.data.id ?? []));
    return messages.map(({ body }, index) => {
      const message = parsed[index];
      const reason = message && reasons.get(message.data.id);
      return reason ? JSON.stringify({ ...message, data: { ...message.data, reason } }) : body;
    });
  }
}
