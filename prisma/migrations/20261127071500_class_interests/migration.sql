-- Who has tested in which class. A row stays whatever becomes of the runs: withdrawing or moving one does not end a conflict of interest.
create table class_interest (
  account_id uuid not null references account,
  chemistry text not null,
  series integer not null,
  since timestamptz(3) not null default current_timestamp,
  primary key (account_id, chemistry, series)
);
comment on table class_interest is 'Chemistry and cell count of every pack that an account has ever uploaded a run of. Triggers keep it.';

insert into class_interest (account_id, chemistry, series, since)
select run.tester_id, pack.chemistry, pack.series, min(run.created_at) from run join pack on pack.id = run.pack_id group by 1, 2, 3;

create function keep_class_interest_of_run() returns trigger language plpgsql as $$
begin
  insert into class_interest (account_id, chemistry, series)
  select new.tester_id, chemistry, series from pack where id = new.pack_id
  on conflict do nothing;
  return null;
end
$$;
create trigger run_class_interest after insert or update of specimen_id, pack_id on run
  for each row execute function keep_class_interest_of_run();

create function keep_class_interest_of_pack() returns trigger language plpgsql as $$
begin
  insert into class_interest (account_id, chemistry, series)
  select distinct tester_id, new.chemistry, new.series from run where pack_id = new.id
  on conflict do nothing;
  return null;
end
$$;
create trigger pack_class_interest after update of chemistry, series on pack
  for each row when ((old.chemistry, old.series) is distinct from (new.chemistry, new.series))
  execute function keep_class_interest_of_pack();

-- A claim ends for good: when it began is kept after it has ended, for each moderator.
alter table review_claim add column since timestamptz(3) not null default current_timestamp;
alter table review_claim drop constraint review_claim_pkey, add primary key (run_id, moderator_id);
create index on review_claim (moderator_id, until);
