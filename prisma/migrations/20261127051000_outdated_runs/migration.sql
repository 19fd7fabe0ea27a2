-- Packs that were one, and runs whose evaluation rests on what is no longer said of their pack.
alter table pack
  add column merged_into_id uuid references pack,
  add constraint pack_merged_check check (merged_into_id <> id);
create index on pack (merged_into_id);
comment on column pack.merged_into_id is 'The pack that it was found to be; null for one of its own.';

alter table run add column outdated boolean not null default false;
comment on column run.outdated is 'Its pack, or what is registered of it, changed since it was evaluated: it counts nowhere until it is evaluated anew.';
