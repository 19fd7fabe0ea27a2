-- The runs of a pack, however many it has, and a pack's place in its class, each by one index.
alter table run add column pack_id uuid references pack;
update run set pack_id = specimen.pack_id from specimen where specimen.id = run.specimen_id;
alter table run add constraint run_pack_check check (pack_id is not null);
comment on column run.pack_id is 'The pack of its specimen. Triggers keep it.';

create function set_pack_of_run() returns trigger language plpgsql as $$
begin
  select pack_id into new.pack_id from specimen where id = new.specimen_id;
  return new;
end
$$;
create trigger run_pack before insert or update of specimen_id, pack_id on run
  for each row execute function set_pack_of_run();

create function move_runs_of_specimen() returns trigger language plpgsql as $$
begin
  update run set pack_id = new.pack_id where specimen_id = new.id;
  return null;
end
$$;
create trigger specimen_moved after update of pack_id on specimen
  for each row when (old.pack_id is distinct from new.pack_id) execute function move_runs_of_specimen();

create index on run (pack_id, id);
create index run_accepted_pack_idx on run (pack_id, id) where review_state = 'accepted';

create index standing_place_idx on standing (protocol_key, figure, load, chemistry, series, sort_value, uncertainty);
