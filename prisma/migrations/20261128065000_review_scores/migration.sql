-- The moderators' queue by a stored score: read by index, and scored when something changes.
create table review_score (
  run_id uuid primary key references run on delete cascade,
  review_state text not null check (review_state in ('pending', 'info-requested')),
  tester_id uuid not null references account,
  pack_id uuid not null references pack,
  protocol_key text not null,
  chemistry text not null,
  series integer not null,
  negated_score double precision not null default 0 check (negated_score <= 0),
  parts jsonb,
  judged_evaluation_id uuid,
  stale boolean not null default true,
  check (parts is not null or (judged_evaluation_id is null and negated_score = 0))
);
create index review_score_page_idx on review_score (review_state, negated_score, run_id, tester_id);
create index on review_score (pack_id, run_id);
create index on review_score (tester_id, run_id);
create index on review_score (protocol_key, chemistry, series, run_id);
create index on review_score (protocol_key, run_id);
create index review_score_stale_idx on review_score (run_id) where stale;
comment on table review_score is 'Runs that wait for a moderator, each with its score. Triggers say which runs wait; jobs score them.';
comment on column review_score.negated_score is 'Stored as it is ordered by: an index serves no keyset over a negated expression. 0 until it is scored for the first time.';
comment on column review_score.parts is 'What the score is made of; null until it is scored for the first time.';
comment on column review_score.judged_evaluation_id is 'The evaluation whose figures "unusual" was judged by, once, against the runs of its chemistry at that time; null where there are none.';

create table review_score_due (
  id bigserial primary key,
  kind text not null check (kind in ('run', 'twins', 'pack', 'tester', 'class', 'protocol')),
  subject_id uuid,
  protocol_key text,
  chemistry text,
  series integer,
  after_run_id uuid,
  check (case kind when 'class' then protocol_key is not null and chemistry is not null and series is not null
    when 'protocol' then protocol_key is not null else subject_id is not null end)
);
comment on table review_score_due is 'What has changed that scores rest on: only ever added to by who changes it, and taken away by the job that marks the waiting runs in question as stale. It sees both what had changed and who waits by then.';
comment on column review_score_due.after_run_id is 'Waiting runs up to this one are marked already; null for none.';

-- One job for each transaction that changes something. Those of several are done by whichever begins first, a second later: jobs with one key for all
-- would let every transaction wait for the others' ends.
create function queue_scoring() returns trigger language plpgsql as $$
begin
  if not exists (select from inserted) or current_setting('packledger.scoring_queued', true) = pg_current_xact_id()::text
    or to_regclass('graphile_worker._private_jobs') is null then return null; end if;
  perform graphile_worker.add_job('score-queue', '{}'::json, run_at => now() + interval '1 second', max_attempts => 6,
    job_key => 'score-queue:' || pg_current_xact_id(), priority => 30001, flags => array['background']);
  perform set_config('packledger.scoring_queued', pg_current_xact_id()::text, true);
  return null;
end $$;
create trigger scoring_queued after insert on review_score_due
  referencing new table as inserted for each statement execute function queue_scoring();

-- What is unreadable or does not conform is its tester's, until the tester appeals; what waits for being evaluated anew comes back by itself.
create function waits_for_review(one run) returns boolean language sql stable as $$
  select one.review_state in ('pending', 'info-requested') and one.state in ('processed', 'failed')
    and (one.review_state <> 'pending' or one.appealed or (one.state = 'processed' and not one.outdated and exists (select from evaluation
      where evaluation.id = one.current_evaluation_id and evaluation.verdict <> 'nonconforming')))
$$;

create function note_run_score() returns trigger language plpgsql as $$
begin
  if waits_for_review(new) then
    insert into review_score as kept (run_id, review_state, tester_id, pack_id, protocol_key, chemistry, series)
    select new.id, new.review_state, new.tester_id, pack.id, new.protocol_key, pack.chemistry, pack.series from pack where pack.id = new.pack_id
    on conflict (run_id) do update set review_state = excluded.review_state, pack_id = excluded.pack_id,
      chemistry = excluded.chemistry, series = excluded.series;
    insert into review_score_due (kind, subject_id) values ('run', new.id);
  elsif tg_op = 'UPDATE' then
    delete from review_score where run_id = new.id;
  end if;
  if tg_op = 'INSERT' then
    insert into review_score_due (kind, subject_id) values ('twins', new.id);
    return null;
  end if;
  if (old.review_state = 'withdrawn') <> (new.review_state = 'withdrawn') or old.pack_id is distinct from new.pack_id then
    insert into review_score_due (kind, subject_id) values ('twins', new.id), ('pack', new.pack_id);
  end if;
  if old.pack_id is distinct from new.pack_id then
    insert into review_score_due (kind, subject_id) values ('pack', old.pack_id);
  end if;
  -- Whether there is any other: with so many, no few transactions that do not see each other take the last.
  if (old.review_state = 'accepted') <> (new.review_state = 'accepted') and (select count(*) from (select from run
      where tester_id = new.tester_id and review_state = 'accepted' and id <> new.id limit 20) as others) < 20 then
    insert into review_score_due (kind, subject_id) values ('tester', new.tester_id);
  end if;
  return null;
end $$;
create trigger run_score_added after insert on run for each row execute function note_run_score();
create trigger run_score_noted after update on run for each row
  when (old.review_state is distinct from new.review_state or old.pack_id is distinct from new.pack_id
    or (new.review_state in ('pending', 'info-requested') and (old.state, old.appealed, old.outdated, old.current_evaluation_id)
      is distinct from (new.state, new.appealed, new.outdated, new.current_evaluation_id)))
  execute function note_run_score();

create function note_copy_scores() returns trigger language plpgsql as $$
begin
  insert into review_score_due (kind, subject_id)
  select distinct 'run', run.id from affected cross join lateral (values (earlier_run_id), (later_run_id)) as run (id);
  return null;
end $$;
create trigger copy_scores_noted after insert on copy_match
  referencing new table as affected for each statement execute function note_copy_scores();

-- A run looks at its own pack's standings and at the third of its class beside these, so at the first four. Eight are watched: others may be changed
-- by transactions that do not see each other.
create function note_standing_scores() returns trigger language plpgsql as $$
begin
  if (select count(*) from (select from affected limit 1001) as some_standings) > 1000 then
    insert into review_score_due (kind, protocol_key) select distinct 'protocol', protocol_key from affected;
    return null;
  end if;
  insert into review_score_due (kind, subject_id) select distinct 'pack', pack_id from affected;
  insert into review_score_due (kind, protocol_key, chemistry, series)
  select distinct 'class', one.protocol_key, one.chemistry, one.series from affected as one
  where not exists (select from standing as better where better.protocol_key = one.protocol_key and better.figure = one.figure
    and better.load = one.load and better.chemistry = one.chemistry and better.series = one.series and better.sort_value > one.sort_value
    and better.pack_id <> one.pack_id offset 7);
  return null;
end $$;
create trigger standing_scores_noted_1 after insert on standing
  referencing new table as affected for each statement execute function note_standing_scores();
create trigger standing_scores_noted_2 after update on standing
  referencing new table as affected for each statement execute function note_standing_scores();
create trigger standing_scores_noted_3 after update on standing
  referencing old table as affected for each statement execute function note_standing_scores();
create trigger standing_scores_noted_4 after delete on standing
  referencing old table as affected for each statement execute function note_standing_scores();

create function note_pack_scores() returns trigger language plpgsql as $$
begin
  update review_score set chemistry = new.chemistry, series = new.series
  where pack_id = new.id and (chemistry, series) is distinct from (new.chemistry, new.series);
  insert into review_score_due (kind, subject_id) values ('pack', new.id);
  return null;
end $$;
create trigger pack_scores_noted after update on pack for each row
  when ((old.confirmed_at is null) <> (new.confirmed_at is null) or (old.chemistry, old.series) is distinct from (new.chemistry, new.series))
  execute function note_pack_scores();

-- Runs that wait already are scored by a job that the next start queues.
insert into review_score (run_id, review_state, tester_id, pack_id, protocol_key, chemistry, series)
select run.id, run.review_state, run.tester_id, pack.id, run.protocol_key, pack.chemistry, pack.series
from run join pack on pack.id = run.pack_id
where run.review_state in ('pending', 'info-requested') and waits_for_review(run);
