alter table reevaluation_run add column outdated boolean not null default false;
comment on column reevaluation_run.outdated is 'Its pack, or what is registered of it, changed since its evaluation began: it is evaluated once more before the re-evaluation ends.';
create index reevaluation_run_outdated_idx on reevaluation_run (reevaluation_id, run_id) where outdated;
