-- The runs that share at least so many of the query hashes at one lag, those that share most first. All hashes are looked up as one list: the index is read in
-- its order, and each of its pages once for all hashes on it, whatever the planner expects (hence the settings); what is found, which is little, is then held
-- against the offsets of the query. The plan is made for any list: one for its values would estimate each of twenty thousand.
-- Kinds from `first_course` on have bins of `course_points`, the others of `lag_points`; bins overlap by half.
create or replace function copy_candidates(own integer, hashes integer[], offsets integer[], kind_shift integer, last_offset integer, first_course integer,
  lag_points integer, course_points integer, min_shared integer, most integer) returns table (run_id uuid)
language sql stable set enable_seqscan = off set enable_bitmapscan = off set enable_nestloop = off set enable_mergejoin = off set jit = off
set plan_cache_mode = force_generic_plan as $$
  with indexed as materialized (
    select copy_hash.hash, copy_hash.number, copy_hash."offset"::integer as at from copy_hash
    where copy_hash.hash = any (hashes) and copy_hash.number <> own
  ), hit as (
    select indexed.number, query.hash >> kind_shift as kind, query.hash::bigint << 11 | indexed.at as entry, (indexed.at - query.at) & last_offset as lag,
      case when query.hash >> kind_shift < first_course then lag_points else course_points end as width
    from indexed join unnest(hashes, offsets) as query (hash, at) using (hash)
  ), shared as (
    select hit.number, count(distinct hit.entry) as entries
    from hit cross join (values (0), (1)) as bin (half)
    group by hit.number, hit.kind, bin.half, (hit.lag + bin.half * hit.width / 2) / hit.width
    having count(distinct hit.entry) >= min_shared
  )
  select fingerprint.run_id from shared join copy_fingerprint as fingerprint using (number)
  group by fingerprint.run_id order by max(shared.entries) desc, fingerprint.run_id limit most
$$;
