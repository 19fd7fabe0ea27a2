import type { NoticeView } from "../notices/notices.views.js";

/** What a mail says of notices: texts of the catalogue alone, nothing that a person wrote. */
export function noticesText(
  notices: readonly NoticeView[],
  link: (path: string) => string,
  unsubscribeUrl: string,
): { subject: string; text: string } {
  const [first] = notices;
  const parts = notices.map(({ title, text, subject }) => `${title}\n${text}\n${link(subject.href)}\n`);
  const end = `All notices: ${link("/v1/notices")}\nNo more mail: ${unsubscribeUrl}\n`;
  return {
    subject: notices.length === 1 && first ? first.title : `${notices.length} notices about your runs`,
    text: `${parts.join("\n")}\n-- \n${end}`,
  };
}

/** What the mail says that asks to confirm an address. */
export function confirmationText(confirmUrl: string, hours: number): { subject: string; text: string } {
  return {
    subject: "Confirm your e-mail address",
    text: `Somebody with an account wants notices about their runs to be mailed to this address.
If that is you, confirm it within ${hours} hours:

${confirmUrl}

If it is not, do nothing: nothing else is mailed to you.
`,
  };
}
