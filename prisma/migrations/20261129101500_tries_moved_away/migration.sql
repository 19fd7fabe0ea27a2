-- Runs that testers moved to another pack when their figures had been seen are tries of the pack that they were of. Who waits with runs of that pack is scored
-- anew by whatever is decided on them.
create index audit_log_run_moves_idx on audit_log (actor_id) where subject_kind = 'run' and event = 'move';

create or replace function note_run_score() returns trigger language plpgsql as $$
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
  -- A run that its tester moved away is a try of the pack that it was of, until a moderator accepts or moves it.
  if (old.review_state, old.specimen_id) is distinct from (new.review_state, new.specimen_id) then
    insert into review_score_due (kind, subject_id)
    select distinct 'pack', specimen.pack_id from audit_log as moved join audit_reason as reason using (position)
    join specimen on specimen.id::text = substring(reason.text from '^From specimen ([0-9a-f-]{36}) of pack ')
    where moved.subject_kind = 'run' and moved.subject_id = new.id::text and moved.event = 'move' and moved.actor_id = new.tester_id
      and specimen.pack_id <> new.pack_id;
  end if;
  -- Whether there is any other: with so many, no few transactions that do not see each other take the last.
  if (old.review_state = 'accepted') <> (new.review_state = 'accepted') and (select count(*) from (select from run
      where tester_id = new.tester_id and review_state = 'accepted' and id <> new.id limit 20) as others) < 20 then
    insert into review_score_due (kind, subject_id) values ('tester', new.tester_id);
  end if;
  return null;
end $$;
drop trigger run_score_noted on run;
create trigger run_score_noted after update on run for each row
  when (old.review_state is distinct from new.review_state or old.pack_id is distinct from new.pack_id or old.specimen_id is distinct from new.specimen_id
    or (new.review_state in ('pending', 'info-requested') and (old.state, old.appealed, old.outdated, old.current_evaluation_id)
      is distinct from (new.state, new.appealed, new.outdated, new.current_evaluation_id)))
  execute function note_run_score();

-- Those that wait now have not counted such runs.
insert into review_score_due (kind, subject_id)
select distinct 'tester', moved.actor_id from audit_log as moved where moved.subject_kind = 'run' and moved.event = 'move' and moved.actor_id is not null
  and exists (select from review_score where review_score.tester_id = moved.actor_id);
