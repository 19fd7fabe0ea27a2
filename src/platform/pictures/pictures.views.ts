import { ArgsType } from "@nestjs/graphql";
import { IntField } from "../views/index.js";

const WIDTH = {
  description: "Of a picture: how wide it is drawn, px; 900 when left out",
  min: 320,
  max: 1600,
} as const;
const SCALE = {
  description: "Of a PNG: pixels to one px, for displays of high density; 1 when left out",
  min: 1,
  max: 2,
} as const;

/** How a picture is drawn. */
export interface PictureOptions {
  readonly width?: number | null | undefined;
  readonly scale?: number | null | undefined;
}

/** A field of a query for the width of a picture. */
export const WidthField = () => IntField({ ...WIDTH, optional: true, fromText: true });

/** A field of a query for the scale of a PNG. */
export const ScaleField = () => IntField({ ...SCALE, optional: true, fromText: true });

/** What is asked of a resource that is drawn as it is. */
@ArgsType()
export class PictureQuery {
  @WidthField()
  width?: number | null;

  @ScaleField()
  scale?: number | null;
}
