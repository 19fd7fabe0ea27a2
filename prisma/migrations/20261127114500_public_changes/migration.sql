-- Every change of what the public may read, in an order that a mirror can follow. Kept by triggers: whoever writes the record need
-- not know of it. Only which thing changed is stored, never what it was: a feed of contents would keep what was erased.

create table public_change (
  position bigserial primary key,
  kind text not null check (kind in ('pack', 'run', 'tester', 'standings')),
  subject_id uuid not null,
  event text not null check (event in ('registered', 'accepted', 'changed', 'rejected', 'reopened', 'withdrawn', 'hidden', 'shown', 'merged', 'erased')),
  changed_at timestamptz(3) not null,
  digest bytea
);
create index on public_change (kind, subject_id, position);
create index public_change_erased_idx on public_change (position) where event = 'erased';
comment on table public_change is 'Changes of public things: only ever added to, in the order in which they were committed.';
comment on column public_change.digest is 'Of standings: SHA-256 of what they are then, so that computing the same anew is no change.';

-- What an open transaction has changed. Rows never outlive their transaction, so a crash has nothing of them to keep.
create unlogged table pending_change (
  transaction bigint not null,
  kind text not null,
  subject_id uuid not null,
  event text not null,
  primary key (transaction, kind, subject_id)
);
comment on table pending_change is 'What transactions that are still open have changed; empty otherwise.';

create index run_withdrawn_seen_idx on run (tester_id, pack_id) where withdrawn_from is not null;

-- Of several changes of one thing in one transaction the last one that says more than that it changed.
create function note_change(of_kind text, id uuid, what text) returns void language sql as $$
  insert into pending_change (transaction, kind, subject_id, event)
  values (pg_current_xact_id()::text::bigint, of_kind, id, what)
  on conflict (transaction, kind, subject_id) do update set event = excluded.event where excluded.event <> 'changed';
$$;
comment on function note_change is 'Lets a change of a public thing be published when the transaction is committed.';

create function is_public_tester(id uuid) returns boolean language sql stable as $$
  select exists (select from account where account.id = $1 and erased_at is null) and (
    exists (select from run where tester_id = $1 and review_state = 'accepted')
    or exists (select from run where tester_id = $1 and withdrawn_from is not null
      and not exists (select from sealed_round as round where round.pack_id = run.pack_id and round.closes_at > now())));
$$;
comment on function is_public_tester is 'Whether a tester has anything in the public record: a handle alone is not part of it.';

create function standings_digest(of_pack uuid) returns bytea language sql stable as $$
  select sha256(convert_to(string_agg(concat_ws('|', protocol_key, protocol_version, computation_version, figure, load, value, unit,
    uncertainty, coalesce(degrees_of_freedom::text, '-'), testers, runs, established, basis, coalesce(own_load_value::text, '-'),
    sort_value, coalesce(computed_value::text, '-'), disputed, testers_beside, held), E'\n'
    order by protocol_key, figure, load), 'UTF8'))
  from standing where pack_id = $1;
$$;

-- The lock is taken at the very end of the transaction, after every other one, and held until it is committed: no position is
-- ever given out below one that somebody may have read.
create function publish_change() returns trigger language plpgsql as $$
declare
  pending pending_change;
  last public_change;
  now_digest bytea;
begin
  perform pg_advisory_xact_lock(7120451205);
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
create constraint trigger change_published after insert on pending_change
  deferrable initially deferred for each row execute function publish_change();

create function note_pack() returns trigger language plpgsql as $$
begin
  if tg_op = 'INSERT' then
    perform note_change('pack', new.id, 'registered');
    return null;
  end if;
  perform note_change('pack', new.id, case
    when old.merged_into_id is null and new.merged_into_id is not null then 'merged'
    when old.hidden_at is null and new.hidden_at is not null then 'hidden'
    when old.hidden_at is not null and new.hidden_at is null then 'shown'
    else 'changed' end);
  -- Runs and testers' records are shown with their packs.
  perform note_change('run', id, 'changed') from run where pack_id = new.id and review_state = 'accepted';
  perform note_change('tester', tester_id, 'changed') from (
    select tester_id from run where pack_id = new.id and review_state = 'accepted'
    union select tester_id from run where pack_id = new.id and withdrawn_from is not null) as its;
  return null;
end $$;
create trigger pack_noted after insert on pack for each row execute function note_pack();
create trigger pack_change_noted after update on pack for each row
  when (to_jsonb(old) - '{match_key,match_key_version,confirmed_by_id}'::text[]
    is distinct from to_jsonb(new) - '{match_key,match_key_version,confirmed_by_id}'::text[]) execute function note_pack();

create function note_run() returns trigger language plpgsql as $$
declare
  before text := case when tg_op = 'INSERT' then '' else old.review_state end;
begin
  if before = 'accepted' or new.review_state = 'accepted' then
    perform note_change('run', new.id, case
      when before = new.review_state then 'changed'
      when new.review_state in ('accepted', 'rejected', 'withdrawn') then new.review_state
      else 'reopened' end);
  end if;
  perform note_change('tester', new.tester_id, 'changed');
  return null;
end $$;
create trigger run_noted after insert on run for each row
  when (new.review_state = 'accepted') execute function note_run();
create trigger run_change_noted after update on run for each row
  when ((old.review_state = 'accepted' or new.review_state = 'accepted' or new.withdrawn_from is not null)
    and to_jsonb(old) - '{evaluation_turn,long_log,outdated}'::text[]
      is distinct from to_jsonb(new) - '{evaluation_turn,long_log,outdated}'::text[]) execute function note_run();

-- Runs are shown with their specimen, their bench and their tester's name.
create function note_specimen() returns trigger language plpgsql as $$
begin
  perform note_change('run', id, 'changed') from run where specimen_id = new.id and review_state = 'accepted';
  return null;
end $$;
create trigger specimen_noted after update on specimen for each row
  when (old.* is distinct from new.*) execute function note_specimen();

create function note_bench() returns trigger language plpgsql as $$
begin
  perform note_change('run', id, 'changed') from run where bench_id = new.id and review_state = 'accepted';
  return null;
end $$;
create trigger bench_noted after update on bench for each row
  when (old.* is distinct from new.*) execute function note_bench();

create function note_account() returns trigger language plpgsql as $$
begin
  perform note_change('tester', new.id, case
    when old.erased_at is null and new.erased_at is not null then 'erased' else 'changed' end);
  perform note_change('run', id, 'changed') from run where tester_id = new.id and review_state = 'accepted';
  return null;
end $$;
create trigger account_noted after update on account for each row
  when ((old.handle, old.erased_at) is distinct from (new.handle, new.erased_at)) execute function note_account();

create function note_tester_record() returns trigger language plpgsql as $$
begin
  perform note_change('tester', new.tester_id, 'changed');
  return null;
end $$;
create trigger tester_record_noted after insert on tester_record for each row
  when (new.vouched_at is not null or new.established_since is not null or new.judgement <> '[]')
  execute function note_tester_record();
-- An established tester is settled by time alone, 180 days on: the judgement of that day makes it a change.
create trigger tester_record_change_noted after update on tester_record for each row
  when ((old.vouched_at, old.established_since, old.judgement)
      is distinct from (new.vouched_at, new.established_since, new.judgement)
    or (old.judged_at < new.established_since + interval '180 days'
      and new.judged_at >= new.established_since + interval '180 days'))
  execute function note_tester_record();

create function note_standings() returns trigger language plpgsql as $$
begin
  perform note_change('standings', pack_id, 'changed') from (select distinct pack_id from affected) as packs;
  return null;
end $$;
create trigger standings_noted_1 after insert on standing
  referencing new table as affected for each statement execute function note_standings();
create trigger standings_noted_2 after update on standing
  referencing new table as affected for each statement execute function note_standings();
create trigger standings_noted_3 after delete on standing
  referencing old table as affected for each statement execute function note_standings();

-- What is public already, in the order of when it became so, as far as that is known.
insert into public_change (kind, subject_id, event, changed_at, digest)
select kind, id, event, greatest(at, max(at) over (order by at, kind, id)), digest from (
  select 'pack' as kind, id, 'registered' as event, created_at as at, null::bytea as digest
  from pack where hidden_at is null and merged_into_id is null
  union all
  select 'run', id, 'accepted', coalesce(
    (select max(created_at) from review where review.run_id = run.id and decision = 'accept'), created_at), null
  from run where review_state = 'accepted'
  union all
  select 'tester', id, 'changed', coalesce((select min(created_at) from run where tester_id = account.id), created_at), null
  from account where is_public_tester(id)
  union all
  select 'standings', pack_id, 'changed', max(updated_at), standings_digest(pack_id) from standing group by pack_id
) as public order by at, kind, id;
