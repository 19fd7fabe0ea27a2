import { RUN_TABLES } from "./run-tables.js";
import { type DatasetTable, fieldsOf } from "./table.js";

const LISTED = "subject.hidden_at IS NULL AND subject.merged_into_id IS NULL AND <month>";

const PACKS: DatasetTable = {
  kind: "packs",
  title: "Registered packs, as their labels state them",
  changedBy: "pack",
  subject: "pack",
  fields: fieldsOf(`
    id string: Names the pack wherever it is shown
    maker string: As printed on the label
    name string: As printed on the label
    chemistry string: lipo, lihv, liion or lifepo4
    series integer: Cells in series
    parallel integer: Cells in parallel
    rated_capacity_mah number: Rated capacity, mAh
    label_continuous_c number: Continuous rate that the label claims, 1/h
    label_burst_c number: Burst rate that the label claims, 1/h
    mass_grams number: Mass, g
    connector string: What the main leads end in
    lead_gauge_awg number: Size of a main lead, AWG
    lead_area_mm2 number: Size of a main lead, mm2
    status string: proposed by a tester, or confirmed by a moderator`),
  primaryKey: ["id"],
  rows: `SELECT id::text, maker, name, chemistry, series, parallel, rated_capacity_mah, label_continuous_c, label_burst_c, mass_grams,
      connector, lead_gauge_awg, lead_area_mm2, CASE WHEN confirmed_at IS NULL THEN 'proposed' ELSE 'confirmed' END AS status
    FROM pack AS subject WHERE ${LISTED} ORDER BY subject.id`,
};

const TESTERS: DatasetTable = {
  kind: "testers",
  title: "Testers with a public run, and since when their results count",
  changedBy: "tester",
  subject: "account",
  fields: fieldsOf(`
    id string: Stays the same when the handle changes
    handle string: Name under which others see the tester
    since datetime: When the tester registered
    runs integer: Accepted runs
    vouched_at datetime: Since when a moderator vouches for the tester
    established_since datetime: Since when the results agree with the reference testers'`),
  primaryKey: ["id"],
  rows: `SELECT subject.id::text, handle, created_at AS since, accepted.runs, record.vouched_at, record.established_since
    FROM account AS subject
    LEFT JOIN tester_record AS record ON record.tester_id = subject.id
    CROSS JOIN LATERAL (
      SELECT count(*)::int AS runs FROM run WHERE tester_id = subject.id AND review_state = 'accepted') AS accepted
    WHERE <month> AND is_public_tester(subject.id) ORDER BY subject.id`,
};

const STANDINGS: DatasetTable = {
  kind: "standings",
  title: "Values of packs in rankings; places follow from them",
  changedBy: "standings",
  subject: "pack",
  fields: fieldsOf(`
    pack_id string: Which pack
    protocol string: Key of the protocol
    protocol_version integer: Version of the protocol
    computation_version integer: Version of the computation
    figure string: Which figure of the catalogue
    load_a number: Standard load, A; empty under the runs' own loads
    basis string: own or translated
    value number: Consensus of the testers, in unit
    unit string: Unit of the value
    uncertainty number: Standard uncertainty u, in unit
    degrees_of_freedom number: Of u; empty for infinitely many
    own_load_value number: Consensus under the runs' own loads, in unit
    testers integer: Testers behind it
    runs integer: Runs behind it
    established boolean: Whether enough testers with a record make the value
    disputed boolean: Whether the results have left the confirmed value
    computed_value number: What the results give where a confirmed value stays
    testers_beside integer: Testers whose results are shown beside the value
    held integer: How many of these wait for a moderator`),
  primaryKey: null,
  rows: `SELECT pack_id::text, protocol_key AS protocol, protocol_version, computation_version, figure, nullif(load, 0) AS load_a, basis,
      value, unit, uncertainty, degrees_of_freedom, own_load_value, testers, runs, established, disputed, computed_value,
      testers_beside, held
    FROM standing JOIN pack AS subject ON subject.id = standing.pack_id
    WHERE ${LISTED} ORDER BY pack_id, protocol_key COLLATE "C", figure COLLATE "C", load`,
};

/** Every table of the dataset. */
export const TABLES: readonly DatasetTable[] = [PACKS, TESTERS, ...RUN_TABLES, STANDINGS];
