-- E-mail: where notices are mailed to, and which are still to be.
create table mail_address (
  account_id uuid primary key references account on delete cascade,
  address text not null check (length(address) <= 254 and address !~ '[[:cntrl:][:space:],;<>]'),
  confirmed_at timestamptz(3),
  confirm_hash bytea unique check (octet_length(confirm_hash) = 32),
  confirm_until timestamptz(3),
  unsubscribe_token text not null unique,
  sending_until timestamptz(3),
  created_at timestamptz(3) not null default now()
);
comment on table mail_address is 'Where an account''s notices are mailed to, once that is confirmed.';
comment on column mail_address.confirm_hash is 'SHA-256 of the token that confirms it.';
comment on column mail_address.unsubscribe_token is 'Good for nothing but forgetting the address; it stands in every mail.';
comment on column mail_address.sending_until is 'So long one job has the account''s mail to itself, or all wait after a failure.';

alter table notice add column mail_due boolean not null default false;
create index notice_mail_due_idx on notice (account_id, id) where mail_due;
comment on column notice.mail_due is 'Whether it is still to be mailed.';
