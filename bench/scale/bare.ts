import Fastify from "fastify";
import { Pool } from "pg";

// The peer: one statement, prepared, and nothing else of a service. Started with its port and the database's address.

const [port, connectionString] = process.argv.slice(2);
const pool = new Pool({ connectionString, max: 10 });
const server = Fastify();

const columns = `standing.pack_id, standing.value, standing.unit, standing.uncertainty, standing.degrees_of_freedom, standing.basis,
  standing.load, standing.own_load_value, standing.testers, standing.runs, standing.established, standing.protocol_version,
  standing.computation_version, pack.maker, pack.name, pack.chemistry, pack.series, pack.parallel, pack.rated_capacity_mah,
  pack.label_continuous_c, pack.label_burst_c, pack.mass_grams, pack.connector, pack.lead_gauge_awg, pack.lead_area_mm2`;
const of = (condition: string) => `SELECT ${columns} FROM standing JOIN pack ON pack.id = standing.pack_id
  WHERE standing.protocol_key = 'full-load' AND standing.figure = $1 AND standing.load = $2 AND standing.sort_value <= $3 ${condition}
  ORDER BY standing.sort_value DESC, standing.pack_id LIMIT 25`;

interface Query {
  readonly figure: string;
  readonly load: string;
  readonly below: string;
  readonly chemistry?: string;
  readonly series?: string;
}

/** The standings that a page of the service shows, from a value on. */
server.get<{ Querystring: Query }>("/page", async ({ query: { figure, load, below, chemistry, series } }) => {
  const values = [figure, Number(load), Number(below)];
  const { rows } = chemistry
    ? await pool.query({
        name: "class",
        text: of("AND standing.chemistry = $4 AND standing.series = $5"),
        values: [...values, chemistry, Number(series)],
      })
    : await pool.query({ name: "all", text: of(""), values });
  return { items: rows };
});

await server.listen({ port: Number(port), host: "127.0.0.1" });
