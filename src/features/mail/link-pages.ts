/** The pages that links of mails lead to, as HTML; nothing in them was sent by anybody. */
export const LINK_PAGES = {
  confirm: page(
    "Confirm your e-mail address for Packledger",
    "Notices about your runs are mailed to this address once you confirm it. Until then nothing else is mailed to it.",
    form("Confirm this address"),
  ),
  confirmed: page(
    "Your e-mail address is confirmed",
    "Notices about your runs are mailed to it from now on; earlier ones are not. Every mail has a link that ends this. You can close this page.",
  ),
  notConfirmed: page(
    "Nothing was confirmed by this link",
    "It was used already, is older than 24 hours, or another address was set after it was mailed. If you have used it before, nothing is left to do: your address is confirmed. " +
      "Otherwise set your address again where you set it; another link is mailed to you then.",
  ),
  unsubscribe: page(
    "No more mail from Packledger",
    "Your address is forgotten, and nothing is mailed to it any more. Your account, your runs and the list of your notices stay as they are.",
    form("Forget this address"),
  ),
  unsubscribed: page(
    "Nothing more is mailed to you",
    "Your address is forgotten. Your account, your runs and the list of your notices stay as they are. To have notices mailed again, set an address anew. You can close this page.",
  ),
  notSubscribed: page(
    "Nothing is mailed by this link any more",
    "The address that it was mailed to was forgotten already, or another one was set in its place: the newest mail has the link that ends mails there. Nothing was changed.",
  ),
} as const;

/** Sent to the address of the page, which holds the token. */
function form(label: string): string {
  return `<form method="post"><button type="submit">${label}</button></form>`;
}

function page(title: string, text: string, end = ""): string {
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>${title}</title></head>
<body><h1>${title}</h1><p>${text}</p>${end}</body></html>
`;
}
