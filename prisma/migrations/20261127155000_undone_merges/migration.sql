-- A merge can be undone: where a pack was merged to by itself, and which pack each specimen is from.
alter table pack add column merged_directly_into_id uuid references pack;
alter table specimen add column merged_from_id uuid references pack;
create index on pack (merged_directly_into_id);
create index on specimen (merged_from_id);
comment on column pack.merged_directly_into_id is 'The pack that it was merged into, whatever became of that one; null too where it was merged before this was kept.';
comment on column specimen.merged_from_id is 'The pack that it was registered of, where that was merged into another one.';
