-- The number of a run among the indexed hashes had 24 bits of one column: from the 16,777,216th run on it ran into those of the hash.
-- Columns of their own hold any number. Hashes stay valid; the service adds to them those of the next method, run by run.
alter table copy_hash rename to copy_hash_packed;
alter index copy_hash_pkey rename to copy_hash_packed_pkey;
create table copy_hash (
  hash integer not null,
  number integer not null,
  "offset" smallint not null
);
insert into copy_hash (hash, number, "offset")
  select ((entry >> 35) & 536870911)::integer, ((entry >> 11) & 16777215)::integer, (entry & 2047)::smallint from copy_hash_packed;
alter table copy_hash add primary key (hash, number, "offset");
drop table copy_hash_packed;
comment on table copy_hash is 'Hashes of what a trace does beside its smooth course. Millions of rows: nothing but what the search reads.';
comment on column copy_hash.hash is 'Signs of the residual at the points of a window, with its channel and kind in the upper bits.';
comment on column copy_hash.number is 'Of the run, in `copy_fingerprint`.';
comment on column copy_hash."offset" is 'Where the window begins, in points of its kind, modulo 2,048.';

alter table copy_fingerprint drop constraint copy_fingerprint_number_check;
comment on column copy_fingerprint.number is 'Stands for the run in `copy_hash`, shorter than its id.';
