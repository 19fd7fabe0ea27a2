import { expect, it } from "@jest/globals";
import { FigureRankings } from "../../../core/ranking/figure-rankings.js";
import { fromReplica, readSource } from "../../../platform/database/reads/read-source.js";
import type { RankingOrdersRepository } from "./ranking-orders.repository.js";
import { RankingOrdersService } from "./ranking-orders.service.js";

it("rankings held in memory never stand at one revision where their rows are read at another: each source has its own", async () => {
  const revisions = { primary: 7, replica: 7 };
  const present = () => revisions[readSource()];
  const repository = {
    load: async () => new FigureRankings(present(), { k: 2, tiesNamed: 3 }),
    changesSince: async () => ({ revision: present(), changes: [] }),
  };
  const orders = new RankingOrdersService(repository as unknown as RankingOrdersRepository);
  const revision = async () => (await orders.at({ protocolKey: "full-load", figure: "power-10s" }, null)).revision;
  expect([await revision(), await fromReplica(revision)]).toEqual([7, 7]);
  revisions.primary = 8;
  const ofReplica = await fromReplica(() => orders.at({ protocolKey: "full-load", figure: "power-10s" }, null));
  expect(await revision()).toBe(8);
  expect(ofReplica.revision).toBe(7);
  revisions.replica = 8;
  expect(await fromReplica(revision)).toBe(8);
});
