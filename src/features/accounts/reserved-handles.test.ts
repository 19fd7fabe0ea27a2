import { expect, test } from "@jest/globals";
import { isReserved } from "./reserved-handles.js";

test.each([
  "admin",
  "ADMIN",
  "adm1n",
  "4dmin",
  "Admin_",
  "a-d-m-i-n",
  "admin2",
  "admin-7",
  "the-admin",
  "admin-anna",
  "Administrator",
  "adrninistrator",
  "m0derator",
  "moderator-of-packs",
  "root",
  "r00t",
  "ROOT1",
  "support",
  "5upport",
  "packledger",
  "Pack1edger",
  "pack-ledger",
  "packledger-team",
  "mypackledger",
])("%s is reserved", (handle) => expect(isReserved(handle)).toBe(true));

test.each([
  "anna",
  "ada",
  "mona",
  "badminton",
  "root-beer",
  "moda",
  "supporter",
  "packer",
  "ledger",
  "steffi",
  "admiral",
  "wanda1",
])("%s is anyone's", (handle) => expect(isReserved(handle)).toBe(false));
