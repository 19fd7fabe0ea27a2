import type { Session } from "../service/session.js";
import type { View } from "../service/view.js";

/** What a view of the desk works with. */
export interface DeskWork {
  readonly session: Session;
  readonly account: View<"AccountView">;
  /** Says something once, where it is read out. */
  say(...content: readonly (Node | string)[]): void;
  /** Does one thing; what was refused is said, and a session that ended is opened anew. */
  during(work: () => Promise<void>): Promise<void>;
  /** Draws the view anew, as after a change. */
  redraw(): Promise<void>;
  /** Goes to another view. */
  go(hash: string): void;
  /** Aborted once another view is drawn, so that nothing goes on for one that is gone. */
  readonly signal: AbortSignal;
  /** Titles of figures, by their keys. */
  figureTitle(key: string): string;
}

/** Draws a view. @param id what the address names behind the view, such as a run */
export type DeskView = (desk: DeskWork, id: string) => Promise<readonly (Node | string)[]>;
