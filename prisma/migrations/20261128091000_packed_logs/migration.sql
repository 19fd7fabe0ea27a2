-- A chunk is stored as it was uploaded or packed, in one column or the other. A program that does not know the second finds nothing in the first
-- and fails, where it would take packed bytes for a log.
alter table log_chunk alter column bytes drop not null;
alter table log_chunk add column packed bytea check (octet_length(packed) between 1 and 1048576);
alter table log_chunk add constraint log_chunk_one_form_check check (num_nonnulls(bytes, packed) = 1);
-- It is packed already. What is stored as it is stays to be packed by the database.
alter table log_chunk alter column packed set storage external;
comment on column log_chunk.bytes is 'As uploaded, where packing makes no fewer bytes of them, and of logs that were stored before chunks were packed.';
comment on column log_chunk.packed is 'The same as one frame of Zstandard (RFC 8878).';
