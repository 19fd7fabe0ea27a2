-- What tells a record from every other one, wherever it is kept: a backup takes it along. Migrations were counted on for that before,
-- but an upgrade adds to them.

create table record_identity (
  id uuid primary key default gen_random_uuid()
);
create unique index record_identity_single_idx on record_identity ((true));
insert into record_identity default values;
comment on table record_identity is 'One row: the id of the record.';

-- A number alone names no change: after a restore the numbers of changes that were lost are given out again.
create function has_change(at_position bigint, at_ms bigint) returns boolean language sql stable as $$
  select at_position = 0 or exists (select from public_change
    where position = at_position and (extract(epoch from changed_at) * 1000)::bigint = at_ms);
$$;
comment on function has_change is 'Whether the record has a change of this number and time (ms since 1970), or, for 0, whether nothing is asked for.';
