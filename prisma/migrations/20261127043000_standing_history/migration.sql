-- Every state that a standing was in, so that rankings can be read as of a revision or a date, and a reader's copy be
-- brought up to date by what has changed. Kept by triggers: whoever writes standings need not know of it.

alter table ranking_revision add column changed_at timestamptz not null default now();
comment on column ranking_revision.changed_at is 'When the revision was made; never before that of the revision before.';

create table standing_history (
  protocol_key text not null,
  figure text not null,
  load double precision not null,
  pack_id uuid not null,
  from_revision bigint not null,
  to_revision bigint not null default 9223372036854775807,
  valid_from timestamptz not null,
  valid_to timestamptz not null default 'infinity',
  protocol_version integer not null,
  computation_version integer not null,
  value double precision not null,
  unit text not null,
  uncertainty double precision not null,
  degrees_of_freedom double precision,
  testers integer not null,
  runs integer not null,
  established boolean not null,
  basis text not null,
  own_load_value double precision,
  sort_value double precision not null,
  computed_value double precision,
  disputed boolean not null,
  testers_beside integer not null,
  held integer not null,
  primary key (protocol_key, figure, load, pack_id, from_revision),
  check (from_revision <= to_revision)
);
create index on standing_history (protocol_key, figure, from_revision);
create index standing_history_closed_idx on standing_history (protocol_key, figure, to_revision)
  where to_revision < 9223372036854775807;
create index standing_history_open_idx on standing_history (pack_id) where to_revision = 9223372036854775807;
comment on table standing_history is 'States of standings: each held from one revision of its protocol''s rankings to before another.';
comment on column standing_history.to_revision is 'The first revision without it; the largest number while it stands.';

insert into standing_history (protocol_key, figure, load, pack_id, from_revision, valid_from, protocol_version,
  computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis, own_load_value, sort_value, computed_value, disputed,
      testers_beside, held)
select protocol_key, figure, load, pack_id, 1, updated_at, protocol_version,
  computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis, own_load_value, sort_value, computed_value, disputed, testers_beside, held
from standing;
insert into ranking_revision (protocol_key, revision) select distinct protocol_key, 1 from standing
  on conflict do nothing;

-- The row that it locks makes the order of revisions the order in which they are committed.
create function next_ranking_revision(key text) returns ranking_revision language sql as $$
  insert into ranking_revision as ranking (protocol_key, revision, changed_at) values (key, 1, clock_timestamp())
  on conflict (protocol_key) do update
    set revision = ranking.revision + 1, changed_at = greatest(ranking.changed_at, clock_timestamp())
  returning ranking.*;
$$;
comment on function next_ranking_revision is 'Counts a change of a protocol''s rankings; its lock is held until the transaction ends.';

create function close_standings() returns trigger language plpgsql as $$
declare
  key text;
  next ranking_revision;
begin
  for key in select distinct protocol_key from removed order by 1 loop
    next := next_ranking_revision(key);
    update standing_history as history set to_revision = next.revision, valid_to = next.changed_at
    from removed
    where removed.protocol_key = key and history.protocol_key = key and history.figure = removed.figure
      and history.load = removed.load and history.pack_id = removed.pack_id
      and history.to_revision = 9223372036854775807;
  end loop;
  return null;
end $$;

-- A standing that comes back as it was, in the transaction that took it away, has not changed.
create function open_standings() returns trigger language plpgsql as $$
declare
  key text;
  next ranking_revision;
begin
  for key in select distinct protocol_key from added order by 1 loop
    next := next_ranking_revision(key);
    update standing_history as history set to_revision = 9223372036854775807, valid_to = 'infinity'
    from added
    where added.protocol_key = key and history.protocol_key = key and history.figure = added.figure
      and history.load = added.load and history.pack_id = added.pack_id
      and history.xmin = pg_current_xact_id()::xid and history.to_revision < next.revision
      and history.to_revision = (
        select max(last.to_revision) from standing_history as last
        where last.protocol_key = key and last.figure = added.figure and last.load = added.load
          and last.pack_id = added.pack_id)
      and (history.protocol_version, history.computation_version, history.value, history.unit, history.uncertainty,
          history.degrees_of_freedom, history.testers, history.runs, history.established, history.basis,
          history.own_load_value, history.sort_value, history.computed_value, history.disputed, history.testers_beside,
          history.held)
        is not distinct from (added.protocol_version, added.computation_version, added.value, added.unit,
          added.uncertainty, added.degrees_of_freedom, added.testers, added.runs, added.established, added.basis,
          added.own_load_value, added.sort_value, added.computed_value, added.disputed, added.testers_beside,
          added.held);
    insert into standing_history (protocol_key, figure, load, pack_id, from_revision, valid_from, protocol_version,
      computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis,
      own_load_value, sort_value, computed_value, disputed,
      testers_beside, held)
    select key, figure, load, pack_id, next.revision, next.changed_at, protocol_version,
      computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis,
      own_load_value, sort_value, computed_value, disputed, testers_beside, held
    from added
    where protocol_key = key and not exists (
      select from standing_history as history
      where history.protocol_key = key and history.figure = added.figure and history.load = added.load
        and history.pack_id = added.pack_id and history.to_revision = 9223372036854775807);
  end loop;
  return null;
end $$;

create trigger standing_removed after delete on standing
  referencing old table as removed for each statement execute function close_standings();
create trigger standing_added after insert on standing
  referencing new table as added for each statement execute function open_standings();
-- Transition tables allow one event a trigger: a change closes, then opens.
create trigger standing_change_1 after update on standing
  referencing old table as removed for each statement execute function close_standings();
create trigger standing_change_2 after update on standing
  referencing new table as added for each statement execute function open_standings();

-- What a ranking shows of a pack, and filters by, is its pack's: a correction of it is a change of every standing of the pack.
create function renew_standings_of_pack() returns trigger language plpgsql as $$
declare
  key text;
  next ranking_revision;
begin
  update standing set chemistry = new.chemistry, series = new.series, rated_capacity_mah = new.rated_capacity_mah
  where pack_id = new.id
    and (chemistry, series, rated_capacity_mah) is distinct from (new.chemistry, new.series, new.rated_capacity_mah);
  for key in
    select distinct protocol_key from standing_history
    where pack_id = new.id and to_revision = 9223372036854775807 order by 1
  loop
    next := next_ranking_revision(key);
    with closed as (
      update standing_history set to_revision = next.revision, valid_to = next.changed_at
      where pack_id = new.id and protocol_key = key and to_revision = 9223372036854775807
      returning *
    )
    insert into standing_history (protocol_key, figure, load, pack_id, from_revision, valid_from, protocol_version,
      computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis,
      own_load_value, sort_value, computed_value, disputed,
      testers_beside, held)
    select protocol_key, figure, load, pack_id, next.revision, next.changed_at, protocol_version,
      computation_version, value, unit, uncertainty, degrees_of_freedom, testers, runs, established, basis,
      own_load_value, sort_value, computed_value, disputed, testers_beside, held
    from closed;
  end loop;
  return null;
end $$;
create trigger pack_corrected after update on pack for each row
  when (to_jsonb(old) - '{match_key,match_key_version}'::text[]
    is distinct from to_jsonb(new) - '{match_key,match_key_version}'::text[]) execute function renew_standings_of_pack();
