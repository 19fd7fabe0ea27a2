-- Webhooks: where accounts and apps are sent what they are told, and what was not taken.
create table webhook (
  id uuid primary key,
  account_id uuid not null references account on delete cascade,
  api_key_id uuid references api_key on delete cascade,
  url text not null check (length(url) <= 2100),
  kinds text[] not null,
  secret bytea not null check (octet_length(secret) between 24 and 64),
  previous_secret bytea check (octet_length(previous_secret) between 24 and 64),
  previous_until timestamptz(3),
  created_at timestamptz(3) not null default now(),
  failures integer not null default 0 check (failures >= 0),
  retry_at timestamptz(3),
  disabled_at timestamptz(3),
  constraint webhook_rotation_check check ((previous_secret is null) = (previous_until is null))
);
create index on webhook (account_id, id);
create index on webhook (api_key_id);
comment on table webhook is 'Where an account, or an app with a key of it, is sent what it is told.';
comment on column webhook.api_key_id is 'The key that it was made with, and goes with; null when it was made in a session.';
comment on column webhook.kinds is 'What is sent; everything when empty.';
comment on column webhook.secret is 'Signs what is sent; shown once.';
comment on column webhook.previous_secret is 'The secret before the last rotation, which signs too until previous_until.';
comment on column webhook.failures is 'Failed tries since the last one that succeeded.';
comment on column webhook.retry_at is 'Nothing is tried before.';

create table webhook_delivery (
  id uuid primary key,
  webhook_id uuid not null references webhook on delete cascade,
  type text not null,
  body text not null,
  attempts integer not null default 0 check (attempts >= 0),
  last_fault text,
  last_try_at timestamptz(3),
  created_at timestamptz(3) not null default now(),
  failed_at timestamptz(3)
);
create index on webhook_delivery (webhook_id, id);
comment on table webhook_delivery is 'A message that a webhook has not taken yet, or never took.';
comment on column webhook_delivery.last_fault is 'Why the last try failed.';
comment on column webhook_delivery.failed_at is 'When it was given up; null while it is tried.';
