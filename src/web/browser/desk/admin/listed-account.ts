import type { View } from "../../service/view.js";

export type ListedAccount = View<"ListedAccountView">;
