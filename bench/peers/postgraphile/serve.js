import { createServer } from "node:http";
import { postgraphile } from "postgraphile";
import { makePgService } from "postgraphile/adaptors/pg";
import { grafserv } from "postgraphile/grafserv/node";
import { makeV4Preset } from "postgraphile/presets/v4";

// A GraphQL server made of the tables as they are, as its makers would have it run in production. Started with its port and the database's address.

const [port, connectionString] = process.argv.slice(2);
const serv = postgraphile({
  extends: [
    makeV4Preset({
      simpleCollections: "only",
      // Every column can be asked for, whether it has an index or not.
      ignoreIndexes: true,
      disableDefaultMutations: true,
    }),
  ],
  pgServices: [makePgService({ connectionString, poolConfig: { max: 10 } })],
  grafserv: { graphiql: false, watch: false },
}).createServ(grafserv);
const server = createServer();
await serv.addTo(server);
server.listen(Number(port), "127.0.0.1");
