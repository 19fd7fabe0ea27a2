-- What a re-evaluation has computed of packs before it ends: its end puts it in the place of what counts, by statements over whole tables.
create table prepared_pack (
  reevaluation_id uuid not null references reevaluation on delete cascade,
  pack_id uuid not null references pack on delete cascade,
  standings jsonb not null,
  results jsonb not null,
  confirmed jsonb not null,
  scatter jsonb not null,
  primary key (reevaluation_id, pack_id)
);
create index on prepared_pack (pack_id);
comment on table prepared_pack is 'Standings of packs as a re-evaluation at work will leave them; whatever changes a pack''s standings meanwhile takes its row away.';
comment on column prepared_pack.scatter is 'How far results of reference testers scatter: sums of squares and degrees of freedom by figure and basis.';

alter table reevaluation_run add column verdict_before text, add column review_before text;
comment on column reevaluation_run.verdict_before is 'The verdict that counted until its re-evaluation ended, where it is another one by it.';
comment on column reevaluation_run.review_before is 'Where its review stood then.';
create index reevaluation_run_changed_idx on reevaluation_run (reevaluation_id, run_id) where verdict_before is not null;

-- Many changes of public things at once are noted and published by statements over all of them, in place of several for each.
alter table pending_change add column together boolean not null default false;
comment on column pending_change.together is 'Published with all others of its transaction that are, by the one row of kind "together".';

create or replace function publish_change() returns trigger language plpgsql as $$
declare
  pending pending_change;
  last public_change;
  now_digest bytea;
begin
  perform pg_advisory_xact_lock(7120451205);
  if new.kind = 'together' then
    with changed as materialized (
      select kind, subject_id, event, case kind when 'standings' then standings_digest(subject_id) end as digest
      from pending_change where transaction = new.transaction and together)
    insert into public_change (kind, subject_id, event, changed_at, digest)
    select changed.kind, changed.subject_id, changed.event,
      greatest(clock_timestamp(), (select changed_at from public_change order by position desc limit 1)), changed.digest
    from changed
    left join lateral (select position, digest from public_change as told
      where told.kind = changed.kind and told.subject_id = changed.subject_id order by position desc limit 1) as before on true
    where case changed.kind
      when 'tester' then before.position is not null or is_public_tester(changed.subject_id)
      when 'standings' then changed.digest is distinct from before.digest
      else true end
    order by changed.kind, changed.subject_id;
    delete from pending_change where transaction = new.transaction and (together or kind = 'together');
    return null;
  end if;
  delete from pending_change
  where transaction = new.transaction and kind = new.kind and subject_id = new.subject_id returning * into pending;
  select * into last from public_change
  where kind = pending.kind and subject_id = pending.subject_id order by position desc limit 1;
  if pending.kind = 'tester' and last is null and not is_public_tester(pending.subject_id) then return null; end if;
  if pending.kind = 'standings' then
    now_digest := standings_digest(pending.subject_id);
    if now_digest is not distinct from last.digest then return null; end if;
  end if;
  insert into public_change (kind, subject_id, event, changed_at, digest)
  values (pending.kind, pending.subject_id, pending.event,
    greatest(clock_timestamp(), (select changed_at from public_change order by position desc limit 1)), now_digest);
  return null;
end $$;
drop trigger change_published on pending_change;
create constraint trigger change_published after insert on pending_change
  deferrable initially deferred for each row when (not new.together) execute function publish_change();

create function note_together() returns void language sql as $$
  insert into pending_change (transaction, kind, subject_id, event)
  values (pg_current_xact_id()::text::bigint, 'together', '00000000-0000-0000-0000-000000000000', 'changed')
  on conflict do nothing;
$$;
comment on function note_together is 'Lets the changes of the transaction that were noted together be published when it is committed.';

drop trigger run_change_noted on run;
-- A plan that was made for one run is kept for many: no loop over all pairs of them.
create function note_run_changes() returns trigger language plpgsql set enable_nestloop = off as $$
declare
  many boolean := (select count(*) from (select from new_runs limit 101) as some_runs) > 100;
begin
  -- What differs most often is looked at first: a run as a whole only where that is the same.
  with changed as materialized (
    select new_run.id, new_run.tester_id, old_run.review_state as was, new_run.review_state as is_now
    from old_runs as old_run join new_runs as new_run on new_run.id = old_run.id
    where (old_run.review_state = 'accepted' or new_run.review_state = 'accepted' or new_run.withdrawn_from is not null)
      and (old_run.current_evaluation_id is distinct from new_run.current_evaluation_id
        or old_run.review_state is distinct from new_run.review_state
        or to_jsonb(old_run) - '{evaluation_turn,long_log,outdated}'::text[]
          is distinct from to_jsonb(new_run) - '{evaluation_turn,long_log,outdated}'::text[])),
  noted as (
    select 'run' as kind, id, case
      when was = is_now then 'changed'
      when is_now in ('accepted', 'rejected', 'withdrawn') then is_now
      else 'reopened' end as event
    from changed where was = 'accepted' or is_now = 'accepted'
    union all select distinct 'tester', tester_id, 'changed' from changed)
  insert into pending_change (transaction, kind, subject_id, event, together)
  select pg_current_xact_id()::text::bigint, kind, id, event, many from noted
  on conflict (transaction, kind, subject_id) do update set event = excluded.event where excluded.event <> 'changed';
  if many then perform note_together(); end if;
  return null;
end $$;
create trigger run_changes_noted after update on run
  referencing old table as old_runs new table as new_runs for each statement execute function note_run_changes();

create or replace function note_standings() returns trigger language plpgsql as $$
declare
  many boolean := (select count(*) from (select from affected limit 101) as some_runs) > 100;
begin
  insert into pending_change (transaction, kind, subject_id, event, together)
  select pg_current_xact_id()::text::bigint, 'standings', pack_id, 'changed', many from (select distinct pack_id from affected) as packs
  on conflict (transaction, kind, subject_id) do nothing;
  if many then perform note_together(); end if;
  return null;
end $$;
