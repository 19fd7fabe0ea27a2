-- Webhooks are told when the public record has changed.
alter table webhook add column told_position bigint check (told_position >= 0);
comment on column webhook.told_position is 'The change of the public record that it was told of last; null where it is told of none.';
comment on column webhook.kinds is 'What is sent; every notice when empty.';
create index webhook_told_changes_idx on webhook (id) where told_position is not null;
