-- How long mails to an address have failed: so long is the pause until the next, and once it is told.
alter table mail_address add column failing_since timestamptz(3);
comment on column mail_address.failing_since is 'Since when no mail to it was taken; null when the last one was.';
