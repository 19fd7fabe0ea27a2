import type { NoticeView } from "../notices/notices.views.js";

/** What a mail says of notices: texts of the catalogue alone, nothing that a person wrote. */
export function noticesText(
  notices: readonly NoticeView[],
  link: (path: string) => string,
  unsubscribeUrl: string,
): { subject: string; text: string } {
  const [first] = notices;
  const parts = notices.map(({ title, text, subject }) => `${title}\n${text}\n${link(subject.href)}\n`);
  const end = `These addresses are of Packledger's API and ask for your session: \`packledger show\` with the id of a run shows it at the command line.
All notices: ${link("/v1/notices")}
No more mail (opens in a browser): ${unsubscribeUrl}
`;
  return {
    subject: notices.length === 1 && first ? first.title : `${notices.length} notices`,
    text: `${parts.join("\n")}\n-- \n${end}`,
  };
}

/** What the mail says that asks to confirm an address; `home` is where the service is. */
export function confirmationText(home: string, confirmUrl: string, hours: number): { subject: string; text: string } {
  return {
    subject: "Confirm your e-mail address for Packledger",
    text: `Somebody with an account of Packledger at ${home}, where testers collect bench
tests of battery packs, wants notices about their runs to be mailed to this address.
If that is you, open this link in a browser within ${hours} hours and confirm it there:

${confirmUrl}

If it is not, do nothing: nothing else is mailed to you.
`,
  };
}
