-- Which runs a moderator looks at whatever the auto-accept policy says is drawn by a key that no answer gives away.
create table auto_accept_sample_key (
  id integer primary key check (id = 1),
  key bytea not null check (octet_length(key) = 32)
);
comment on table auto_accept_sample_key is 'The one key by which this database draws the sample of runs that a moderator looks at.';
-- Each of the two UUIDs holds 122 random bits.
insert into auto_accept_sample_key values (1, decode(replace(gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex'));
