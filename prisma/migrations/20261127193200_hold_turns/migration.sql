-- Makes a transaction the only one that gives turns, and says which turns have grown so far that they are counted anew: two statements, so that the second
-- sees what was given while the first waited.
create function hold_turns(lock bigint, count_anew_from integer) returns table (long_log boolean, lowest integer) language plpgsql volatile as $$
begin
  perform pg_advisory_xact_lock(lock);
  return query
    select kind.long_log, least.turn::integer from (values (false), (true)) as kind (long_log),
      lateral (select min(run.evaluation_turn) as turn from run
        where run.state in ('queued', 'processing') and run.long_log = kind.long_log) as least
    where least.turn >= count_anew_from;
end $$;
