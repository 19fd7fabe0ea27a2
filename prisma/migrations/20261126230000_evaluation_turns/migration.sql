-- Evaluations are fair between testers: a tester's next waiting run comes one turn after the one before, so that many runs of
-- one tester stand behind the first runs of all others. Long logs have turns of their own.

alter table run
  add column long_log boolean not null default false,
  add column evaluation_turn smallint not null default 0 check (evaluation_turn >= 0);
comment on column run.long_log is 'Whether its log takes long to evaluate; such runs have turns of their own and leave a worker free for the others.';
comment on column run.evaluation_turn is
  'When it is evaluated, while it waits: runs with a lower turn come first, within a turn the one that came first.';

-- The lowest turn of all, and the highest of a tester, of the runs that are not evaluated yet.
create index run_turn on run (long_log, evaluation_turn) where state in ('queued', 'processing');
create index run_turn_of_tester on run (tester_id, long_log, evaluation_turn) where state in ('queued', 'processing');

-- What a tester has uploaded within a day is counted at every upload.
create index on run (tester_id, created_at);
