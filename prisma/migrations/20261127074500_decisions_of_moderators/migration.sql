-- What a moderator has decided, the newest first.
create index on review (moderator_id, id);
