import type { Client } from "pg";

/**
 * Names and notes are of any script, and every text function counts characters as Unicode does.
 *
 * @throws Error when a database stores text in another encoding than UTF-8 (PostgreSQL: character set support)
 */
export async function requireUtf8(client: Client): Promise<void> {
  const { rows } = await client.query<{ encoding: string; name: string }>(
    "select current_setting('server_encoding') as encoding, current_database() as name",
  );
  const { encoding = "", name = "" } = rows[0] ?? {};
  if (encoding === "UTF8") return;
  throw new Error(
    `The database "${name}" stores text as ${encoding}, and Packledger needs UTF-8. Make another one, as by ` +
      `CREATE DATABASE ${client.escapeIdentifier(`${name}_utf8`)} ENCODING 'UTF8' TEMPLATE template0, and name it in DATABASE_URL.`,
  );
}
