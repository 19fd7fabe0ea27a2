-- Names of packs, looked up by the sequences of three letters in them.
create extension if not exists pg_trgm;

-- Empty until the service, which alone knows how names are compared, has made the key.
alter table pack
  add column match_key text not null default '',
  add column match_key_version integer not null default 0 check (match_key_version >= 0);
create index pack_names_idx on pack using gin (maker gin_trgm_ops, name gin_trgm_ops, match_key gin_trgm_ops);
comment on column pack.match_key is 'Words of maker and name without case, accents, look-alike letters and rating.';
comment on column pack.match_key_version is 'Version of how the key is made; the service makes older ones anew when it starts.';
