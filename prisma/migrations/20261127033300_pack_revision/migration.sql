create table pack_revision (
  id integer primary key check (id = 1),
  revision bigint not null check (revision > 0)
);
comment on table pack_revision is 'Counts the changes of the list of packs, so that a reader''s copy can be told to be current without counting packs.';
insert into pack_revision (id, revision) values (1, 1);

-- By the database itself: no program can change packs and forget to count it.
create function count_pack_change() returns trigger language plpgsql as $$
begin
  update pack_revision set revision = revision + 1;
  return null;
end
$$;
create trigger pack_change after insert or update or delete or truncate on pack
  for each statement execute function count_pack_change();
