-- A handle whose account was erased is given to nobody else, and is not kept as text either.
create table erased_handle (
  digest bytea primary key check (octet_length(digest) = 32)
);
comment on table erased_handle is 'Handles of erased accounts, which nobody may register again.';
comment on column erased_handle.digest is 'scrypt of the handle in lower case, with the salt of this database: a handle is short, and a plain hash of it could be guessed.';

create table erased_handle_salt (
  id integer primary key check (id = 1),
  salt bytea not null check (octet_length(salt) = 32)
);
comment on table erased_handle_salt is 'The one salt of the digests of erased handles, drawn for this database.';
-- Each of the two UUIDs holds 122 random bits.
insert into erased_handle_salt values (1, decode(replace(gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex'));
