/** Neither absolute nor out of the descriptor's folder. */
const RELATIVE_PATH = "^(?=^[^./~])(^((?!\\.{2}).)*$).*$";

const TABLE_SCHEMA = {
  type: "object",
  required: ["fields"],
  properties: {
    $schema: { type: "string" },
    fields: {
      type: "array",
      minItems: 1,
      items: {
        type: "object",
        required: ["name"],
        properties: {
          name: { type: "string" },
          type: { enum: ["string", "number", "integer", "boolean", "datetime"] },
          description: { type: "string" },
        },
      },
    },
    missingValues: { type: "array", items: { type: "string" } },
    primaryKey: { type: "array", minItems: 1, items: { type: "string" } },
  },
};

const RESOURCE = {
  type: "object",
  required: ["name", "path"],
  properties: {
    name: { type: "string" },
    path: { type: "string", pattern: RELATIVE_PATH },
    type: { const: "table" },
    format: { type: "string" },
    mediatype: { type: "string", pattern: "^(.+)/(.+)$" },
    encoding: { type: "string" },
    bytes: { type: "integer" },
    hash: { type: "string", pattern: "^([^:]+:[a-fA-F0-9]+|[a-fA-F0-9]{32}|)$" },
    schema: TABLE_SCHEMA,
  },
};

const LICENSE = {
  type: "object",
  anyOf: [{ required: ["name"] }, { required: ["path"] }],
  properties: { name: { type: "string", pattern: "^([-a-zA-Z0-9._])+$" }, path: { type: "string" } },
};

/**
 * What the Data Package standard, version 2.0, asks of a descriptor (datapackage.org/profiles/2.0: datapackage.json,
 * dataresource.json, tableschema.json), written down from memory as JSON Schema: no package of the registry has the profiles.
 */
export const DATA_PACKAGE = {
  type: "object",
  required: ["resources"],
  properties: {
    $schema: { const: "https://datapackage.org/profiles/2.0/datapackage.json" },
    name: { type: "string" },
    title: { type: "string" },
    description: { type: "string" },
    version: { type: "string" },
    created: { type: "string", pattern: "^\\d{4}-\\d\\d-\\d\\dT\\d\\d:\\d\\d:\\d\\d(\\.\\d+)?Z$" },
    keywords: { type: "array", minItems: 1, items: { type: "string" } },
    licenses: { type: "array", minItems: 1, items: LICENSE },
    resources: { type: "array", minItems: 1, items: RESOURCE },
  },
};
