-- A tester's public record shows a withdrawn run only where it conformed, so one that did not makes no tester public.
create or replace function is_public_tester(id uuid) returns boolean language sql stable as $$
  select exists (select from account where account.id = $1 and erased_at is null) and (
    exists (select from run where tester_id = $1 and review_state = 'accepted')
    or exists (select from run join evaluation on evaluation.id = run.current_evaluation_id
      where tester_id = $1 and withdrawn_from is not null and evaluation.verdict <> 'nonconforming'
      and not exists (select from sealed_round as round where round.pack_id = run.pack_id and round.closes_at > now())));
$$;

-- Mirrors that have the name of such a tester delete it. Under the lock of all positions: another process may be writing.
select pg_advisory_xact_lock(7120451205);
insert into public_change (kind, subject_id, event, changed_at)
select 'tester', id, 'changed', greatest(clock_timestamp(), (select max(changed_at) from public_change))
from (select distinct subject_id as id from public_change where kind = 'tester') as told
where exists (select from run where tester_id = told.id and withdrawn_from is not null) and not is_public_tester(told.id);
