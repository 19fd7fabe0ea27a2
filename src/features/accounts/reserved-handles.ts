/** Handles that speak for the service or for those who run it. */
const RESERVED = [
  "admin",
  "administrator",
  "moderator",
  "mod",
  "root",
  "system",
  "operator",
  "staff",
  "support",
  "official",
  "security",
  "packledger",
];
/** Those that nobody may bear as a part of a handle either, as in `admin-anna`. */
const RESERVED_PARTS = ["admin", "administrator", "moderator", "packledger"];

/** Digits and letters that are read as another letter. */
const LOOK_ALIKES: Readonly<Record<string, string>> = {
  "0": "o",
  "1": "l",
  i: "l",
  "3": "e",
  "4": "a",
  "5": "s",
  "7": "t",
  "8": "b",
  "9": "g",
};

/** A handle as it is read at a glance: no case, no hyphens, digits as the letters that they look like, `rn` as m. */
function skeletonOf(text: string): string {
  return text
    .toLowerCase()
    .replace(/[-_]/g, "")
    .replace(/./g, (letter) => LOOK_ALIKES[letter] ?? letter)
    .replaceAll("rn", "m")
    .replaceAll("vv", "w");
}

const WHOLE = new Set(RESERVED.map(skeletonOf));
const PARTS = new Set(RESERVED_PARTS.map(skeletonOf));
const NAME_OF_THE_SERVICE = skeletonOf("packledger");

/** Whether a handle is, or looks like, one that speaks for the service: `Admin`, `adm1n`, `mod-erator`, `admin2`, `admin-anna`, `packledger-team`. */
export function isReserved(handle: string): boolean {
  const unnumbered = handle.replace(/[-_\d]+$/, "");
  if ([handle, unnumbered].some((one) => WHOLE.has(skeletonOf(one)))) return true;
  if (skeletonOf(handle).includes(NAME_OF_THE_SERVICE)) return true;
  return handle
    .split(/[-_]/)
    .some((part) => PARTS.has(skeletonOf(part)) || PARTS.has(skeletonOf(part.replace(/\d+$/, ""))));
}
