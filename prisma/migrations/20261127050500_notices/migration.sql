-- What testers are told of what happens to their runs.
create table notice (
  id uuid primary key,
  account_id uuid not null references account on delete cascade,
  kind text not null check (kind ~ '^[a-z][a-z-]{0,39}$'),
  subject_kind text not null,
  subject_id text not null,
  facts jsonb not null default '{}' check (jsonb_typeof(facts) = 'object'),
  created_at timestamptz(3) not null default now(),
  read_at timestamptz(3)
);
create index on notice (account_id, id);
create index notice_unread_idx on notice (account_id) where read_at is null;
comment on table notice is 'What an account is told: something that happened to what is its own.';
comment on column notice.kind is 'A key of the catalogue of notices.';
comment on column notice.facts is 'What its text is made of, beside the subject; never words that a person wrote.';
