-- The undo of a merge is a change of its own: what was removed with the event "merged" is public again.
alter table public_change drop constraint public_change_event_check;
alter table public_change add constraint public_change_event_check check (event in ('registered', 'accepted', 'changed', 'rejected',
  'reopened', 'withdrawn', 'hidden', 'shown', 'merged', 'unmerged', 'erased'));

create or replace function note_pack() returns trigger language plpgsql as $$
begin
  if tg_op = 'INSERT' then
    perform note_change('pack', new.id, 'registered');
    return null;
  end if;
  perform note_change('pack', new.id, case
    when old.merged_into_id is null and new.merged_into_id is not null then 'merged'
    when old.merged_into_id is not null and new.merged_into_id is null then 'unmerged'
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
