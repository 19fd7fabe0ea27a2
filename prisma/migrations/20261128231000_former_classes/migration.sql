-- In which classes a run has been before. Moving it away, and deciding there, does not end a conflict of interest with it.
create table run_former_class (
  run_id uuid not null references run on delete cascade on update no action,
  chemistry text not null,
  series integer not null,
  since timestamptz(3) not null default current_timestamp,
  primary key (run_id, chemistry, series)
);
comment on table run_former_class is 'Chemistry and cell count of the packs that a run was of before, and of its packs before they were corrected. Triggers keep it.';

-- What moves wrote down, where their words were not erased.
insert into run_former_class (run_id, chemistry, series, since)
select run.id, pack.chemistry, pack.series, min(moved.at)
from audit_log as moved
join audit_reason as reason using (position)
cross join lateral substring(reason.text from '^From specimen [0-9a-f-]{36} of pack ([0-9a-f-]{36}) to ') as was (pack_id)
join run on run.id::text = moved.subject_id
join pack on pack.id::text = was.pack_id
where moved.subject_kind = 'run' and moved.event = 'move'
group by 1, 2, 3;

create function keep_former_class_of_run() returns trigger language plpgsql as $$
begin
  insert into run_former_class (run_id, chemistry, series)
  select new.id, chemistry, series from pack where id = old.pack_id
  on conflict do nothing;
  return null;
end
$$;
create trigger run_former_class after update of specimen_id, pack_id on run
  for each row when (old.pack_id is distinct from new.pack_id) execute function keep_former_class_of_run();

create function keep_former_class_of_pack() returns trigger language plpgsql as $$
begin
  insert into run_former_class (run_id, chemistry, series)
  select id, old.chemistry, old.series from run where pack_id = new.id
  on conflict do nothing;
  return null;
end
$$;
create trigger pack_former_class after update of chemistry, series on pack
  for each row when ((old.chemistry, old.series) is distinct from (new.chemistry, new.series))
  execute function keep_former_class_of_pack();
