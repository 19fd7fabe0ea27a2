-- The runs that share at least so many of the query hashes at one lag, those of which that is the least chance first. Windows that overlap have most of their points in
-- common, and meet together or not at all: what counts is bits of points that no other shared hash has, a hash's own `bits` for one that overlaps none before it.
-- The hashes are in ascending order, of which two may be alike: the index is read in its order and nothing is sorted before, whatever the planner expects (hence the
-- settings). What is found, which is little, finds its places in the query by halving. The plan is made for any list: one for its values would estimate each of twenty thousand.
-- Kinds from `first_course` on have bins of `course_points`, the others of `lag_points`; bins overlap by half. Points of a bit are whole units apart from `first_unit` to
-- `first_course`, where windows of another phase have none in common, and `scale_points` apart elsewhere.
create function copy_candidates_by_evidence(own integer, hashes integer[], offsets integer[], kind_shift integer, last_offset integer, first_unit integer, first_course integer,
  lag_points integer, course_points integer, bits integer, unit_points integer, scale_points integer, min_shared integer, most integer)
  returns table (run_id uuid, by_samples double precision, by_course double precision)
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
    select hit.number, hit.kind, array_agg(distinct hit.entry) as entries
    from hit cross join (values (0), (1)) as bin (half)
    group by hit.number, hit.kind, bin.half, (hit.lag + bin.half * hit.width / 2) / hit.width
    having count(distinct hit.entry) >= min_shared
  ), evidence as (
    select shared.number, shared.kind >= first_course as of_course, (
      select sum(coalesce((
        -- The channel is the bit below the kind.
        select min(case
          when shared.kind not between first_unit and first_course - 1 then least(bits, apart.points::double precision / scale_points)
          when apart.points > 1 and (apart.points + 1) % unit_points <= 2 then least(bits, round(apart.points::double precision / unit_points))
          else bits end)
        from unnest(shared.entries) as earlier cross join lateral (select ((one & last_offset) - (earlier & last_offset))::integer as points) as apart
        where (apart.points, one) > (0, earlier) and (one >> (kind_shift + 10)) = (earlier >> (kind_shift + 10))
      ), bits))
      from unnest(shared.entries) as one
    ) as amount
    from shared
  )
  select fingerprint.run_id, coalesce(max(evidence.amount) filter (where not evidence.of_course), 0), coalesce(max(evidence.amount) filter (where evidence.of_course), 0)
  from evidence join copy_fingerprint as fingerprint using (number)
  group by fingerprint.run_id order by max(evidence.amount) desc, fingerprint.run_id limit most
$$;
drop function copy_candidates_sorted(integer, integer[], integer[], integer, integer, integer, integer, integer, integer, integer);
