-- The runs that share at least so many of the query hashes at one lag, those that share most first. The hashes are in ascending order, of which two may be
-- alike: the index is read in its order and nothing is sorted before, whatever the planner expects (hence the settings). What is found, which is little, finds its
-- places in the query by halving. The plan is made for any list: one for its values would estimate each of twenty thousand.
-- Kinds from `first_course` on have bins of `course_points`, the others of `lag_points`; bins overlap by half.
create function copy_candidates_sorted(own integer, hashes integer[], offsets integer[], kind_shift integer, last_offset integer, first_course integer,
  lag_points integer, course_points integer, min_shared integer, most integer) returns table (run_id uuid)
language sql stable set enable_seqscan = off set enable_bitmapscan = off set jit = off
set plan_cache_mode = force_generic_plan as $$
  with indexed as materialized (
    select copy_hash.hash, copy_hash.number, copy_hash."offset"::integer as at, width_bucket(copy_hash.hash, hashes) as last_place from copy_hash
    where copy_hash.hash = any (hashes) and copy_hash.number <> own
  ), hit as (
    select indexed.number, indexed.hash >> kind_shift as kind, indexed.hash::bigint << 11 | indexed.at as entry,
      (indexed.at - offsets[place]) & last_offset as lag,
      case when indexed.hash >> kind_shift < first_course then lag_points else course_points end as width
    from indexed cross join lateral generate_series(
      -- Before the first there is no smaller one to look for.
      case when indexed.hash = hashes[1] then 1 else width_bucket(indexed.hash - 1, hashes) + 1 end, indexed.last_place
    ) as place
  ), shared as (
    select hit.number, count(distinct hit.entry) as entries
    from hit cross join (values (0), (1)) as bin (half)
    group by hit.number, hit.kind, bin.half, (hit.lag + bin.half * hit.width / 2) / hit.width
    having count(distinct hit.entry) >= min_shared
  )
  select fingerprint.run_id from shared join copy_fingerprint as fingerprint using (number)
  group by fingerprint.run_id order by max(shared.entries) desc, fingerprint.run_id limit most
$$;
drop function copy_candidates(integer, integer[], integer[], integer, integer, integer, integer, integer, integer, integer);
