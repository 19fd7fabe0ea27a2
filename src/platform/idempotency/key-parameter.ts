import type { OpenAPIObject } from "@nestjs/swagger";

type Operation = NonNullable<OpenAPIObject["paths"][string]["post"]>;

export const KEY_FORM =
  'A string of 1 to 255 printable characters, preferably quoted, generated for each request and sent again with its retries: "8e03978e-40d5-43dd-bc93-6894a57f9324".';

/** How the field `Idempotency-Key` is described at every POST. */
export const KEY_PARAMETER: NonNullable<Operation["parameters"]>[number] = {
  name: "Idempotency-Key",
  in: "header",
  required: false,
  description: `${KEY_FORM} A retry is answered as the request was, with the field \`Idempotency-Replayed: ?1\`. Kept for 24 hours.`,
  schema: { type: "string" },
};
