-- A bench that is stated otherwise after runs were measured on it becomes another version; its runs keep theirs.
alter table bench add column version integer not null default 1 constraint bench_version_check check (version between 1 and 1000000);
alter table bench add column replaced_by_id uuid references bench;
alter table bench add constraint bench_replaced_check check (replaced_by_id <> id);
alter table bench drop constraint bench_owner_id_label_key;
create unique index bench_owner_id_label_key on bench (owner_id, label) where replaced_by_id is null;
create index on bench (replaced_by_id);
comment on column bench.version is 'Counts from 1 how often it was stated otherwise.';
comment on column bench.replaced_by_id is 'The newest version; null for that one itself.';
