-- The runs that share at least so many of the query hashes at one lag, those that share most first. Every hash is looked up in the index, whatever the
-- planner expects (hence the settings and the offset of 0): the cost grows with the number of query hashes and, by chance agreements, slowly with the record.
-- Kinds from `first_course` on have bins of `course_points`, the others of `lag_points`; bins overlap by half.
create function copy_candidates(own integer, hashes integer[], offsets integer[], kind_shift integer, last_offset integer, first_course integer,
  lag_points integer, course_points integer, min_shared integer, most integer) returns table (run_id uuid)
language sql stable set enable_seqscan = off set enable_bitmapscan = off set jit = off as $$
  with query as materialized (
    select query.hash, query.at from unnest(hashes, offsets) as query (hash, at) order by query.hash
  ), hit as (
    select indexed.number, query.hash >> kind_shift as kind, query.hash::bigint << 11 | indexed.at as entry, (indexed.at - query.at) & last_offset as lag,
      case when query.hash >> kind_shift < first_course then lag_points else course_points end as width
    from query cross join lateral (
      select copy_hash.number, copy_hash."offset"::integer as at from copy_hash where copy_hash.hash = query.hash offset 0
    ) as indexed
  ), shared as (
    select hit.number, count(distinct hit.entry) as entries
    from hit cross join (values (0), (1)) as bin (half)
    where hit.number <> own
    group by hit.number, hit.kind, bin.half, (hit.lag + bin.half * hit.width / 2) / hit.width
    having count(distinct hit.entry) >= min_shared
  )
  select fingerprint.run_id from shared join copy_fingerprint as fingerprint using (number)
  group by fingerprint.run_id order by max(shared.entries) desc, fingerprint.run_id limit most
$$;
